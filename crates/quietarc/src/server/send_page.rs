//! The pages for viewers: plain, light, without a script. Whatever comes from outside is written as text.

use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderName, StatusCode};
use axum::response::{IntoResponse, Response};
use journal::{ConsentedUse, MadeLink, OneUse, SubmissionId};

use crate::Failure;
use crate::desk::escaped;

/// Nothing runs, nothing is loaded, and forms go back to this server alone.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const STYLE: &str = "body{font:18px/1.5 system-ui,sans-serif;max-width:34rem;margin:0 auto;padding:1rem;color:#111;background:#fff}\
h1{font-size:1.4rem}label{display:block;margin:1rem 0 .2rem;font-weight:600}\
input,textarea,button{font:inherit;box-sizing:border-box}\
input:not([type=checkbox]),textarea{width:100%;padding:.6rem;border:1px solid #666;border-radius:4px;min-height:48px;background:#fff;color:#111}\
.tick{display:flex;gap:.7rem;align-items:flex-start;font-weight:400;min-height:48px;margin:.3rem 0}\
.tick input{width:1.6rem;height:1.6rem;flex:none}fieldset{border:1px solid #666;border-radius:4px;margin:1.2rem 0}\
legend{font-weight:600}button{width:100%;min-height:56px;border:0;border-radius:4px;background:#123f6b;color:#fff;font-weight:700}\
.note{color:#444;font-size:.95rem}.wrong{border-left:6px solid #a30000;padding-left:.8rem}a{color:#123f6b;overflow-wrap:anywhere}\
@media(prefers-color-scheme:dark){body{background:#111;color:#eee}\
input:not([type=checkbox]),textarea{background:#1c1c1c;color:#eee}.note{color:#bbb}a{color:#9cc7f0}}";

/// What the boxes say, in the words that are kept with the permission.
const OWN_WORDS: &str = "I took this picture myself, and nobody in it objects.";

fn use_words(one: OneUse) -> &'static str {
    match one {
        OneUse::OnAir => "It may be shown in a broadcast.",
        OneUse::Online => "It may be shown on the station's pages.",
        OneUse::Archive => "It may be kept and shown again in later programmes.",
    }
}

/// The sentences that were ticked, as they stood there.
pub(super) fn ticked_words(uses: ConsentedUse) -> String {
    let ticked = uses.list().into_iter().map(use_words);
    let said: Vec<&str> = std::iter::once(OWN_WORDS).chain(ticked).collect();
    format!("Ticked by the sender: {}", said.join(" "))
}

/// What a sender is told.
pub(super) struct Told {
    pub(super) id: SubmissionId,
    /// The word by which it can be taken back; `None` where the picture was here already.
    pub(super) withdrawal: Option<String>,
}

fn page(status: StatusCode, title: &str, body: &str) -> Response {
    let html = format!(
        "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>{title}</title>\
         <style>{STYLE}</style></head><body><main><h1>{title}</h1>{body}</main></body></html>"
    );
    let headers = [
        (CONTENT_TYPE, "text/html; charset=utf-8"),
        (CONTENT_SECURITY_POLICY, POLICY),
        (CACHE_CONTROL, "no-store"),
        // the address is the key: no other page may learn it
        (REFERRER_POLICY, "no-referrer"),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (HeaderName::from_static("x-robots-tag"), "noindex, nofollow"),
    ];
    (status, headers, html).into_response()
}

/// A page that says why not.
pub(super) fn refusal(status: StatusCode, why: &str) -> Response {
    page(status, "Sending is not possible", &format!("<p>{}</p>", escaped(why)))
}

/// The form.
pub(super) fn form(link: &MadeLink) -> Response {
    page(StatusCode::OK, "Send your aurora picture", &fields(link))
}

/// The form again, with what was wrong.
pub(super) fn again(link: &MadeLink, failure: &Failure) -> Response {
    let wrong = format!(
        "<p class=\"wrong\" role=\"alert\"><b>{}.</b> {}.</p>",
        escaped(&failure.message),
        escaped(&failure.hint)
    );
    page(StatusCode::UNPROCESSABLE_ENTITY, "Send your aurora picture", &format!("{wrong}{}", fields(link)))
}

fn fields(link: &MadeLink) -> String {
    let mut uses = String::new();
    for one in OneUse::ALL {
        let box_of = format!("<input type=\"checkbox\" name=\"{}\" value=\"yes\">", one.word());
        uses += &["<label class=\"tick\">", &box_of, use_words(*one), "</label>"].concat();
    }
    format!(
        "<p>{label}</p><form method=\"post\" enctype=\"multipart/form-data\">\
         <label for=\"picture\">The picture</label><input id=\"picture\" type=\"file\" name=\"picture\" accept=\"image/*\" required>\
         <p class=\"note\">As it came from the phone or camera, 60 MB at most. Not a screenshot, not sent through a chat.</p>\
         <label for=\"when\">When was it taken?</label><input id=\"when\" type=\"datetime-local\" name=\"when\">\
         <p class=\"note\">By the clock of {zone}.</p>\
         <label for=\"place\">Where were you?</label><input id=\"place\" name=\"place\" maxlength=\"200\" autocomplete=\"off\">\
         <p class=\"note\">The nearest village or bay is enough.</p>\
         <label for=\"name\">Which name may be shown with it?</label><input id=\"name\" name=\"name\" maxlength=\"200\" autocomplete=\"name\">\
         <label for=\"contact\">How can we reach you? (never shown)</label><input id=\"contact\" name=\"contact\" maxlength=\"200\">\
         <label for=\"caption\">What did you see?</label><textarea id=\"caption\" name=\"caption\" rows=\"3\" maxlength=\"2000\"></textarea>\
         <fieldset><legend>What you permit</legend>\
         <label class=\"tick\"><input type=\"checkbox\" name=\"own\" value=\"yes\" required>{own}</label>{uses}\
         <p class=\"note\">What you leave empty is not done. Position and camera data in the file are used to check time and place and are \
         removed from every copy that is shown.</p></fieldset>\
         <button>Send</button></form>\
         <p class=\"note\">You get a link with which you can take the picture back at any time; then it is erased here. Never stop on \
         a road or step onto ice for a picture.</p>",
        label = escaped(&link.label),
        zone = escaped(&link.time_zone),
        own = OWN_WORDS,
    )
}

/// The picture is here.
pub(super) fn thanks(told: &Told) -> Response {
    let withdrawal = told.withdrawal.as_ref().map_or(
        "<p>We had this picture already; the link you got the first time takes it back.</p>".to_owned(),
        |word| {
            format!(
                "<p>If you want to take it back, open this page; keep its address, it is shown only now:<br>\
                 <a href=\"/withdraw/{word}\">/withdraw/{word}</a></p>"
            )
        },
    );
    let body = format!("<p>It is here, as number <b>{}</b>.</p>{withdrawal}", told.id);
    page(StatusCode::OK, "Thank you", &body)
}

/// Asks once more before a picture is taken back.
pub(super) fn withdrawal(id: SubmissionId) -> Response {
    let body = format!(
        "<p>Number <b>{id}</b> will not be shown any more, and the picture and what you wrote are erased here. Copies that were \
         shown before cannot be called back from everywhere; the desk is told where they are.</p>\
         <form method=\"post\"><button>Take it back</button></form>"
    );
    page(StatusCode::OK, "Take a picture back", &body)
}

/// It is taken back.
pub(super) fn taken_back(id: SubmissionId, exports: usize) -> Response {
    let left = match exports {
        0 => "No copy of it had been made for showing.".to_owned(),
        some => format!("Copies made for showing before: {some}. The desk has been told to remove them."),
    };
    page(StatusCode::OK, "Taken back", &format!("<p>Number <b>{id}</b> is erased here. {left}</p>"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_is_what_stood_at_the_boxes() {
        let words = ticked_words(ConsentedUse { online: true, ..ConsentedUse::default() });
        assert!(
            words.contains("myself") && words.contains("station's pages") && !words.contains("broadcast"),
            "{words}"
        );
    }
}
