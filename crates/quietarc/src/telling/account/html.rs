//! An account as one page without anything from elsewhere.

use std::fmt::Write;

use job::{AccountReport, AccountSentence};

use super::text::{clock, source};

const STYLE: &str = "body{font:1.1rem/1.6 system-ui,sans-serif;max-width:40rem;margin:2rem auto;padding:0 1rem;\
color:#1b1f24;background:#fff}.n{position:relative;border-bottom:1px dotted currentColor;cursor:help;text-decoration:none;color:inherit}\
.n>span{position:absolute;left:0;top:1.6em;z-index:1;width:max-content;max-width:18rem;padding:.4rem .6rem;font-size:.85rem;\
line-height:1.35;background:#1b1f24;color:#fff;border-radius:.3rem;visibility:hidden}\
.n:hover>span,.n:focus>span{visibility:visible}.n:focus-visible{outline:2px solid currentColor;outline-offset:2px}\
td,th{text-align:left;padding:.2rem .8rem .2rem 0;vertical-align:top}ol,ul{padding-left:1.3rem}small{color:#555}\
@media(prefers-color-scheme:dark){body{color:#e8e6e3;background:#14171a}.n>span{background:#e8e6e3;color:#14171a}small{color:#aaa}}\
@media print{.n>span{display:none}}";

/// The page: every number shows its source when it is pointed at or reached by keyboard, and in a list at the end.
pub(crate) fn page(report: &AccountReport, title: &str) -> String {
    let mut out = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width\">\n\
         <title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n",
        title = escaped(title)
    );
    // writing to a String cannot fail
    let mut number = 0;
    for sentence in &report.sentences {
        let _written = writeln!(out, "<p id=\"{}\">{}</p>", escaped(&sentence.id), marked(sentence, &mut number));
    }
    list(&mut out, "Not known, and not told", "ul", report.not_known.iter().map(|line| escaped(line)));
    out.push_str(
        "<h2>Running order</h2>\n<table>\n<tr><th>Start</th><th>Length</th><th>Card</th><th>Picture</th></tr>\n",
    );
    for card in &report.cards {
        let _written = writeln!(
            out,
            "<tr><td>{}</td><td>{:.0} s</td><td>{}</td><td>{}</td></tr>",
            clock(card.start_s),
            card.length_s,
            escaped(&card.title),
            escaped(&card.picture)
        );
    }
    out.push_str("</table>\n<p><small>Lengths are an estimate: 150 spoken words a minute.</small></p>\n");
    let numbers = report.sentences.iter().flat_map(|sentence| &sentence.numbers);
    let sources = numbers
        .enumerate()
        .map(|(i, number)| format!("<span id=\"source-{}\">{}</span>", i + 1, escaped(&source(number))));
    list(&mut out, "Sources", "ol", sources);
    out.push_str("</main>\n</body>\n</html>\n");
    out
}

fn list(out: &mut String, title: &str, kind: &str, lines: impl Iterator<Item = String>) {
    // writing to a String cannot fail
    let _written = writeln!(out, "<h2>{title}</h2>\n<{kind}>");
    for line in lines {
        let _written = writeln!(out, "<li>{line}</li>");
    }
    let _written = writeln!(out, "</{kind}>");
}

/// A sentence with its numbers as links to their sources.
fn marked(sentence: &AccountSentence, count: &mut usize) -> String {
    let mut out = String::new();
    let mut rest = sentence.text.as_str();
    for number in &sentence.numbers {
        *count += 1;
        // numbers stand in the order of the text
        let Some((before, after)) = rest.split_once(number.words.as_str()) else { continue };
        let (words, source) = (escaped(&number.words), escaped(&source(number)));
        // writing to a String cannot fail
        let _written = write!(
            out,
            "{}<a class=\"n\" href=\"#source-{count}\" aria-describedby=\"source-{count}\">{words}<span aria-hidden=\"true\">{source}</span></a>",
            escaped(before)
        );
        rest = after;
    }
    out.push_str(&escaped(rest));
    out
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
