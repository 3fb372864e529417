//! The tag tree: structure elements, and the way back from each mark and annotation to its element.

use std::collections::BTreeMap;

use lopdf::{Object, ObjectId, dictionary};

use super::{
    Writer,
    value::{count, text},
};
use crate::v1::tree::{Kid, NodeId, Role, Tree};

impl Writer {
    pub(super) fn add_tags(
        &mut self,
        tree: &Tree,
        owners: &[Vec<NodeId>],
        links: &[Vec<ObjectId>],
        field: Option<ObjectId>,
    ) {
        let root = self.document.new_object_id();
        let ids: Vec<ObjectId> = (0..tree.len()).map(|_| self.document.new_object_id()).collect();
        let first_link: Vec<usize> = links
            .iter()
            .scan(owners.len(), |next, page| {
                let first = *next;
                *next += page.len();
                Some(first)
            })
            .collect();
        let links_end = owners.len() + links.iter().map(Vec::len).sum::<usize>();
        let mut parents: BTreeMap<usize, Object> = BTreeMap::new();
        for (page, nodes) in owners.iter().enumerate() {
            let nodes: Vec<Object> = nodes.iter().map(|node| ids[node.place()].into()).collect();
            parents.insert(page, nodes.into());
        }
        for (id, node) in tree.iter() {
            let own = ids[id.place()];
            let mut kids = Vec::with_capacity(node.kids.len());
            for kid in &node.kids {
                kids.push(match *kid {
                    Kid::Node(kid) => ids[kid.place()].into(),
                    Kid::Content { page, mark } => Object::Dictionary(dictionary! {
                        "Type" => "MCR", "Pg" => self.page_ids[page], "MCID" => count(mark),
                    }),
                    Kid::Link { page, link } => {
                        parents.insert(first_link[page] + link, own.into());
                        Object::Dictionary(dictionary! {
                            "Type" => "OBJR", "Pg" => self.page_ids[page], "Obj" => links[page][link],
                        })
                    }
                    Kid::Field => {
                        let Some(field) = field else { continue };
                        parents.insert(links_end, own.into());
                        Object::Dictionary(dictionary! {
                            "Type" => "OBJR", "Pg" => self.page_ids[0], "Obj" => field,
                        })
                    }
                });
            }
            let mut element = dictionary! {
                "Type" => "StructElem",
                "S" => node.role.name(),
                "P" => node.parent.map_or(root, |parent| ids[parent.place()]),
                "K" => kids,
            };
            if let Some(alternative) = &node.alternative {
                element.set("Alt", text(alternative));
            }
            if node.role == Role::HeadCell {
                element.set("A", dictionary! { "O" => "Table", "Scope" => "Column" });
            }
            self.document.set_object(own, element);
        }
        let numbers: Vec<Object> =
            parents.into_iter().flat_map(|(key, value)| [Object::from(count(key)), value]).collect();
        let parent_tree = self.add(dictionary! { "Nums" => numbers });
        let element = dictionary! {
            "Type" => "StructTreeRoot",
            "K" => vec![ids[Tree::ROOT.place()].into()],
            "ParentTree" => parent_tree,
            "ParentTreeNextKey" => count(links_end + 1),
        };
        self.document.set_object(root, element);
        self.catalog.set("StructTreeRoot", root);
        self.catalog.set("MarkInfo", dictionary! { "Marked" => true });
    }
}
