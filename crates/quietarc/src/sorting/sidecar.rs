//! The rating in an XMP sidecar file (ISO 16684-1: `xmp:Rating`): read, and set without touching anything else.

use roxmltree::{Document, Node};

const XMP: &str = "http://ns.adobe.com/xap/1.0/";
const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";

/// A file that is no XMP sidecar, or not one that can be edited safely.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct NotXmp {
    pub(crate) problem: String,
}

fn not_xmp(problem: impl Into<String>) -> NotXmp {
    NotXmp { problem: problem.into() }
}

/// A sidecar with nothing but a rating.
pub(crate) fn fresh(rating: i8) -> String {
    format!(
        "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n \
         <rdf:RDF xmlns:rdf=\"{RDF}\">\n  \
         <rdf:Description rdf:about=\"\"\n    xmlns:xmp=\"{XMP}\"\n   xmp:Rating=\"{rating}\"/>\n \
         </rdf:RDF>\n\
         </x:xmpmeta>\n\
         <?xpacket end=\"w\"?>\n"
    )
}

/// The rating that stands in a sidecar; `None` where there is none.
///
/// # Errors
///
/// No XMP, or a rating that is no number.
pub(crate) fn rating(text: &str) -> Result<Option<i8>, NotXmp> {
    let document = parse(text)?;
    let found = places(&document)?.into_iter().next();
    let Some(place) = found else { return Ok(None) };
    let value = match place {
        Place::Value(range) => text.get(range).unwrap_or_default().trim().to_owned(),
        Place::Empty { .. } => return Ok(None),
    };
    if value.is_empty() {
        return Ok(None);
    }
    let number: f64 = value.parse().map_err(|_cause| not_xmp(format!("its rating {value:?} is no number")))?;
    #[expect(clippy::cast_possible_truncation, reason = "saturates; ratings are -1 to 5")]
    let whole = number.round() as i8;
    Ok(Some(whole))
}

/// The text with another rating; every other byte stays as it is.
///
/// # Errors
///
/// No XMP, or no description in it to which a rating could be put.
pub(crate) fn with_rating(text: &str, rating: i8) -> Result<String, NotXmp> {
    let document = parse(text)?;
    let mut out = text.to_owned();
    let mut places = places(&document)?;
    if places.is_empty() {
        let (at, inserted) = insertion(&document, text, rating)?;
        out.insert_str(at, &inserted);
        return Ok(out);
    }
    // from the end, so that places before stay where they are
    places.sort_by_key(|place| std::cmp::Reverse(place.range().start));
    for place in places {
        let new = match &place {
            Place::Value(_range) => rating.to_string(),
            Place::Empty { name, .. } => format!("<{name}>{rating}</{name}>"),
        };
        out.replace_range(place.range(), &new);
    }
    Ok(out)
}

fn parse(text: &str) -> Result<Document<'_>, NotXmp> {
    Document::parse(text).map_err(|error| not_xmp(format!("it is no XML that is read here: {error}")))
}

/// Where a rating stands.
enum Place {
    /// The value itself.
    Value(std::ops::Range<usize>),
    /// An element without a value.
    Empty { range: std::ops::Range<usize>, name: String },
}

impl Place {
    fn range(&self) -> std::ops::Range<usize> {
        match self {
            Self::Value(range) | Self::Empty { range, .. } => range.clone(),
        }
    }
}

fn descriptions<'a, 'input>(document: &'a Document<'input>) -> Result<Vec<Node<'a, 'input>>, NotXmp> {
    let rdf = document
        .descendants()
        .find(|node| node.has_tag_name((RDF, "RDF")))
        .ok_or_else(|| not_xmp("it holds no XMP (rdf:RDF)"))?;
    Ok(rdf.children().filter(|node| node.has_tag_name((RDF, "Description"))).collect())
}

fn places(document: &Document<'_>) -> Result<Vec<Place>, NotXmp> {
    let mut found = Vec::new();
    for description in descriptions(document)? {
        let attributes = description.attributes();
        let own = attributes.filter(|attribute| attribute.namespace() == Some(XMP) && attribute.name() == "Rating");
        found.extend(own.map(|attribute| Place::Value(attribute.range_value())));
        for element in description.children().filter(|node| node.has_tag_name((XMP, "Rating"))) {
            found.push(match element.children().find(Node::is_text) {
                Some(text) => Place::Value(text.range()),
                None => Place::Empty { range: element.range(), name: tag(document.input_text(), element) },
            });
        }
    }
    Ok(found)
}

/// The name in an element's start tag, with its prefix.
fn tag(text: &str, element: Node<'_, '_>) -> String {
    let after = text.get(element.range().start + 1..).unwrap_or_default();
    after.chars().take_while(|letter| !letter.is_whitespace() && !['/', '>'].contains(letter)).collect()
}

/// Where an attribute goes into the first description, and what.
fn insertion(document: &Document<'_>, text: &str, rating: i8) -> Result<(usize, String), NotXmp> {
    let first = descriptions(document)?.into_iter().next().ok_or_else(|| not_xmp("it holds no rdf:Description"))?;
    let at = first.range().start + 1 + tag(text, first).len();
    let bound = first.namespaces().filter(|space| space.uri() == XMP).find_map(roxmltree::Namespace::name);
    let inserted = if let Some(prefix) = bound {
        format!(" {prefix}:Rating=\"{rating}\"")
    } else {
        let is_free = first.lookup_namespace_uri(Some("xmp")).is_none();
        let prefix = if is_free { "xmp" } else { "xmprating" };
        format!(" xmlns:{prefix}=\"{XMP}\" {prefix}:Rating=\"{rating}\"")
    };
    Ok((at, inserted))
}

#[cfg(test)]
mod tests {
    use super::*;

    const FULL: &str = "\u{feff}<?xpacket begin=\"\" id=\"W5M0\"?>\r\n<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\r\n\
        <rdf:Description rdf:about='' xmlns:xap='http://ns.adobe.com/xap/1.0/' xmlns:crs=\"http://ns.adobe.com/camera-raw-settings/1.0/\"\r\n   xap:Rating = '3' crs:Exposure2012=\"+0.85\">\r\n\
        <!-- xap:Rating=\"9\" --><crs:ToneCurve><rdf:Seq><rdf:li>0, 0</rdf:li></rdf:Seq></crs:ToneCurve></rdf:Description></rdf:RDF></x:xmpmeta>\r\n<?xpacket end=\"w\"?>";

    #[test]
    fn only_the_number_changes() {
        assert_eq!(rating(FULL), Ok(Some(3)));
        let other = with_rating(FULL, -1).unwrap();
        assert_eq!(other, FULL.replace("'3'", "'-1'"));
        assert_eq!(rating(&other), Ok(Some(-1)));
    }

    #[test]
    fn an_element_is_a_rating_too() {
        let text = FULL.replace("xap:Rating = '3' ", "").replace("<!--", "<xap:Rating> 4 </xap:Rating><!--");
        assert_eq!(rating(&text), Ok(Some(4)));
        assert_eq!(with_rating(&text, 5).unwrap(), text.replace("> 4 <", ">5<"));
        let empty = text.replace("<xap:Rating> 4 </xap:Rating>", "<xap:Rating/>");
        assert_eq!(rating(&empty), Ok(None));
        assert_eq!(rating(&with_rating(&empty, 2).unwrap()), Ok(Some(2)));
    }

    #[test]
    fn a_sidecar_without_a_rating_gains_one() {
        let text = FULL.replace("xap:Rating = '3' ", "");
        let rated = with_rating(&text, 4).unwrap();
        assert_eq!(rating(&rated), Ok(Some(4)));
        assert_eq!(rated.replace(" xap:Rating=\"4\"", ""), text);
        // the prefix that everybody uses may mean something else here
        let taken = text.replace("xmlns:xap='http://ns.adobe.com/xap/1.0/'", "xmlns:xmp='urn:other'");
        assert_eq!(rating(&with_rating(&taken, 4).unwrap()), Ok(Some(4)));
    }

    #[test]
    fn what_is_no_xmp_is_refused() {
        for text in ["", "<html/>", "<a><b></a>", "not xml", "<!DOCTYPE x [<!ENTITY e 'x'>]><x>&e;</x>"] {
            assert!(rating(text).is_err(), "{text}");
            assert!(with_rating(text, 1).is_err(), "{text}");
        }
        assert!(rating(&FULL.replace("'3'", "'many'")).is_err());
    }

    #[test]
    fn a_fresh_one_reads_back() {
        for number in [-1, 1, 5] {
            assert_eq!(rating(&fresh(number)), Ok(Some(number)));
        }
    }
}
