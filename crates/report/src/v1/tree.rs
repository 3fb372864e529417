//! The tags of a report: what is a heading, a paragraph, a table, a picture, in reading order.

/// The place of a node in the tree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct NodeId(usize);

/// What a part of the document is (ISO 32000-2, 14.8.4).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Role {
    Document,
    Section,
    Heading1,
    Heading2,
    Paragraph,
    Table,
    Row,
    HeadCell,
    Cell,
    Figure,
    Link,
    Form,
}

impl Role {
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Document => "Document",
            Self::Section => "Sect",
            Self::Heading1 => "H1",
            Self::Heading2 => "H2",
            Self::Paragraph => "P",
            Self::Table => "Table",
            Self::Row => "TR",
            Self::HeadCell => "TH",
            Self::Cell => "TD",
            Self::Figure => "Figure",
            Self::Link => "Link",
            Self::Form => "Form",
        }
    }
}

/// What hangs on a node, in reading order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kid {
    Node(NodeId),
    /// Marked content of a page; both counted from 0.
    Content {
        page: usize,
        mark: usize,
    },
    /// A link of a page; both counted from 0.
    Link {
        page: usize,
        link: usize,
    },
    /// The signature's field.
    Field,
}

#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub role: Role,
    pub parent: Option<NodeId>,
    /// What a picture shows, in words.
    pub alternative: Option<String>,
    pub kids: Vec<Kid>,
}

#[derive(Debug)]
pub(crate) struct Tree {
    nodes: Vec<Node>,
}

impl Tree {
    pub(crate) const ROOT: NodeId = NodeId(0);

    pub(crate) fn new() -> Self {
        Self { nodes: vec![Node { role: Role::Document, parent: None, alternative: None, kids: Vec::new() }] }
    }

    pub(crate) fn add(&mut self, parent: NodeId, role: Role) -> NodeId {
        let id = NodeId(self.nodes.len());
        self.nodes.push(Node { role, parent: Some(parent), alternative: None, kids: Vec::new() });
        self.hang(parent, Kid::Node(id));
        id
    }

    /// A picture with what it shows in words.
    pub(crate) fn add_figure(&mut self, parent: NodeId, alternative: String) -> NodeId {
        let id = self.add(parent, Role::Figure);
        self.nodes[id.0].alternative = Some(alternative);
        id
    }

    pub(crate) fn hang(&mut self, node: NodeId, kid: Kid) {
        self.nodes[node.0].kids.push(kid);
    }

    pub(crate) fn node(&self, id: NodeId) -> &Node {
        &self.nodes[id.0]
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = (NodeId, &Node)> {
        self.nodes.iter().enumerate().map(|(place, node)| (NodeId(place), node))
    }

    pub(crate) fn len(&self) -> usize {
        self.nodes.len()
    }
}

impl NodeId {
    pub(crate) const fn place(self) -> usize {
        self.0
    }
}
