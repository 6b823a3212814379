//! The XMP packet.

use std::fmt::Write;

use super::{CreditFields, DigitalSource};

/// Of ISO 16684-1, 7.3.2: the fixed name of every packet's begin.
const BEGIN: &str = "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>";
const END: &str = "<?xpacket end=\"r\"?>";

/// Namespaces: Dublin Core and Photoshop (XMP specification part 2), IPTC Core and Extension (IPTC standard 2023.1).
const NAMESPACES: &str = " xmlns:dc=\"http://purl.org/dc/elements/1.1/\"\
    \n  xmlns:photoshop=\"http://ns.adobe.com/photoshop/1.0/\"\
    \n  xmlns:Iptc4xmpCore=\"http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/\"\
    \n  xmlns:Iptc4xmpExt=\"http://iptc.org/std/Iptc4xmpExt/2008-02-29/\"";

/// A text in no particular language.
const LANGUAGE: &str = " xml:lang=\"x-default\"";

/// The fields as a packet.
pub(crate) fn packet(fields: &CreditFields) -> String {
    let mut out = format!(
        "{BEGIN}\n<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n\
         <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n <rdf:Description rdf:about=\"\"\n {NAMESPACES}>\n"
    );
    // writing to a String cannot fail
    let mut list = |name: &str, kind: &str, attribute: &str, value: Option<&str>| {
        if let Some(value) = filled(value) {
            let item = format!("<rdf:{kind}><rdf:li{attribute}>{}</rdf:li></rdf:{kind}>", escaped(value));
            let _written = writeln!(out, "  <{name}>{item}</{name}>");
        }
    };
    list("dc:creator", "Seq", "", fields.creator.as_deref());
    list("dc:rights", "Alt", LANGUAGE, fields.copyright.as_deref());
    list("dc:description", "Alt", LANGUAGE, fields.caption.as_deref());
    let source = fields.source.map(DigitalSource::uri);
    let plain = [
        ("photoshop:Credit", fields.credit_line.as_deref()),
        ("photoshop:DateCreated", fields.date_created.as_deref()),
        ("photoshop:Instructions", fields.instructions.as_deref()),
        ("Iptc4xmpCore:Location", fields.place.as_deref()),
        ("Iptc4xmpExt:DigitalSourceType", source),
    ];
    for (name, value) in plain {
        if let Some(value) = filled(value) {
            let _written = writeln!(out, "  <{name}>{}</{name}>", escaped(value));
        }
    }
    out.push_str(" </rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n");
    out.push_str(END);
    out
}

fn filled(value: Option<&str>) -> Option<&str> {
    value.map(str::trim).filter(|value| !value.is_empty())
}

/// A text within XML 1.0; what XML cannot hold becomes a blank.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' => out.push(letter),
            '\u{fffe}' | '\u{ffff}' => out.push(' '),
            letter if letter.is_control() => out.push(' '),
            letter => out.push(letter),
        }
    }
    out
}
