//! XML from unknown hands: bounded before it is read, and without document types.

use roxmltree::{Document, Node, ParsingOptions};

use super::body::not_places;
use crate::{FeedError, Place};

/// Deepest nesting read; folders within folders of a KML file reach perhaps ten.
const DEEPEST: usize = 200;
/// Most attributes of one element: the reader compares each with each.
const MOST_ATTRIBUTES: usize = 64;
/// Most names of vocabularies in force at one place, and in a whole file: each element that declares one copies those in force.
const MOST_NAMESPACES_IN_FORCE: usize = 128;
const MOST_NAMESPACES: usize = 20_000;
/// Most nodes of a file: elements, texts and comments. Ten thousand places with a hundred nodes each.
const MOST_NODES: u32 = 1_000_000;

/// An XML document and the starts of its lines.
pub(super) struct Xml<'a> {
    document: Document<'a>,
    line_starts: Vec<usize>,
}

impl<'a> Xml<'a> {
    /// The element that holds all others.
    pub(super) fn root(&self) -> Node<'_, 'a> {
        self.document.root_element()
    }

    /// Line of a node, from 1.
    pub(super) fn line(&self, node: Node<'_, '_>) -> Place {
        Place::Line(self.line_starts.partition_point(|&start| start <= node.range().start).max(1))
    }
}

/// Reads a document.
pub(super) fn open<'a>(text: &'a str, source_name: &str) -> Result<Xml<'a>, FeedError> {
    guard(text, source_name)?;
    let options = ParsingOptions { nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, options).map_err(|error| refusal(&error, text, source_name))?;
    let line_starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
    Ok(Xml { document, line_starts })
}

/// The first child of that name, whatever its vocabulary.
pub(super) fn child<'a, 'd>(node: Node<'a, 'd>, name: &str) -> Option<Node<'a, 'd>> {
    node.children().find(|child| is(*child, name))
}

/// Whether a node is an element of that name, whatever its vocabulary.
pub(super) fn is(node: Node<'_, '_>, name: &str) -> bool {
    node.is_element() && node.tag_name().name() == name
}

/// All text within the first child of that name; empty where there is none.
pub(super) fn child_text(node: Node<'_, '_>, name: &str) -> String {
    child(node, name).map(all_text).unwrap_or_default()
}

pub(super) fn all_text(node: Node<'_, '_>) -> String {
    node.descendants().filter(roxmltree::Node::is_text).filter_map(|text| text.text()).collect()
}

fn refusal(error: &roxmltree::Error, text: &str, source_name: &str) -> FeedError {
    use roxmltree::Error;
    let at = error.pos();
    let (problem, line, column) = match error {
        Error::DtdDetected => return with_document_type(source_name),
        Error::NodesLimitReached | Error::AttributesLimitReached | Error::NamespacesLimitReached => {
            return beyond(source_name, format!("it has more than {MOST_NODES} elements and texts"));
        }
        Error::UnclosedRootNode | Error::UnexpectedEndOfStream => {
            let last = text.lines().last().unwrap_or_default();
            let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
            ("breaks off".to_owned(), count(text.lines().count()), count(last.chars().count() + 1))
        }
        other => {
            // the position is told apart
            let message = other.to_string();
            let message = message.rsplit_once(" at ").map_or(message.as_str(), |(before, _)| before);
            let message: String = message.chars().filter(|c| !c.is_control()).take(100).collect();
            (format!("cannot be read: {message}"), at.row, at.col)
        }
    };
    FeedError::BadXml { source_name: source_name.to_owned(), line, column, problem }
}

fn with_document_type(source_name: &str) -> FeedError {
    not_places(source_name, "it declares a document type (DOCTYPE), which no file of places needs")
}

fn beyond(source_name: &str, found: String) -> FeedError {
    FeedError::PlacesBeyondLimit { source_name: source_name.to_owned(), found }
}

/// Walks the tags once, in linear time, and refuses what would take the reader more than that.
fn guard(text: &str, source_name: &str) -> Result<(), FeedError> {
    let mut rest = text;
    // vocabularies declared by each open element
    let mut open: Vec<usize> = Vec::new();
    let (mut in_force, mut declared) = (0, 0);
    while let Some(start) = rest.find('<') {
        rest = &rest[start..];
        let section = [("<!--", "-->"), ("<![CDATA[", "]]>"), ("<?", "?>"), ("</", ">")];
        if let Some((begin, end)) = section.into_iter().find(|(begin, _)| rest.starts_with(begin)) {
            if begin == "</" {
                in_force -= open.pop().unwrap_or_default();
            }
            let Some(length) = rest[begin.len()..].find(end) else { return Ok(()) };
            rest = &rest[begin.len() + length + end.len()..];
            continue;
        }
        if rest.starts_with("<!") {
            return Err(with_document_type(source_name));
        }
        let Some(tag) = Tag::of(rest) else { return Ok(()) };
        rest = &rest[tag.length..];
        declared += tag.namespaces;
        if tag.attributes > MOST_ATTRIBUTES {
            return Err(beyond(source_name, format!("an element has more than {MOST_ATTRIBUTES} attributes")));
        }
        if in_force + tag.namespaces > MOST_NAMESPACES_IN_FORCE || declared > MOST_NAMESPACES {
            return Err(beyond(
                source_name,
                "it declares more vocabularies (xmlns) than any file of places".to_owned(),
            ));
        }
        if !tag.closes_itself {
            open.push(tag.namespaces);
            in_force += tag.namespaces;
        }
        if open.len() > DEEPEST {
            return Err(beyond(source_name, format!("its elements are nested more than {DEEPEST} deep")));
        }
    }
    Ok(())
}

/// What a start tag costs.
struct Tag {
    length: usize,
    attributes: usize,
    namespaces: usize,
    closes_itself: bool,
}

impl Tag {
    /// The tag that begins a text; none where it does not end.
    fn of(text: &str) -> Option<Self> {
        let (mut attributes, mut quote) = (0, None);
        for (at, byte) in text.bytes().enumerate() {
            match (quote, byte) {
                (Some(mark), _) if byte == mark => quote = None,
                (None, b'"' | b'\'') => quote = Some(byte),
                (None, b'=') => attributes += 1,
                (None, b'>') => {
                    let tag = &text[..at];
                    return Some(Self {
                        length: at + 1,
                        attributes,
                        namespaces: tag.matches("xmlns").count(),
                        closes_itself: tag.ends_with('/'),
                    });
                }
                (Some(_) | None, _) => {}
            }
        }
        None
    }
}
