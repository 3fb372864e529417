"""What pymerkle 7.0.0 makes of the same entries: their root at every size, and a proof of ours as its own. JSON comes in on
standard input, JSON goes out.
"""

import json
import sys

from pymerkle import InmemoryTree
from pymerkle.hasher import MerkleHasher

asked = json.load(sys.stdin)
tree = InmemoryTree(algorithm="sha256")
hasher = MerkleHasher("sha256", True)
roots = []
for entry in asked["entries"]:
    tree.append_entry(entry.encode())
    roots.append(tree.get_root().hex())
# RFC 9162 section 2.1.3.2, with this library's hashes.
proved = []
for index, size, path in asked["proofs"]:
    hash, node, last = hasher.hash_buff(asked["entries"][index].encode()), index, size - 1
    for sibling in map(bytes.fromhex, path):
        if node % 2 == 1 or node == last:
            hash = hasher.hash_pair(sibling, hash)
            while node % 2 == 0 and node != 0:
                node, last = node >> 1, last >> 1
        else:
            hash = hasher.hash_pair(hash, sibling)
        node, last = node >> 1, last >> 1
    proved.append(last == 0 and hash.hex() == roots[size - 1])
json.dump({"roots": roots, "proved": proved}, sys.stdout)
