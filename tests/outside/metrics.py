"""How prometheus_client 0.26.0 reads the text format of Prometheus. The text comes in on standard input; every series goes
out as JSON: its name, its labels, its value. A text that is none ends it with an error.
"""

import json
import sys

from prometheus_client.parser import text_string_to_metric_families

families = list(text_string_to_metric_families(sys.stdin.read()))
names = [family.name for family in families]
if len(names) != len(set(names)):
    sys.exit("a family stands there twice")
if untold := [family.name for family in families if not family.documentation or family.type in ("unknown", "untyped")]:
    sys.exit(f"without help or type: {untold}")
json.dump([[one.name, one.labels, one.value] for family in families for one in family.samples], sys.stdout)
