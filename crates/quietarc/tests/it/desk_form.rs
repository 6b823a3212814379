//! A form with a picture, as a browser sends it.

use std::io::Read;

use crate::running::Server;

const BORDER: &str = "----------border";

pub(crate) fn agent() -> ureq::Agent {
    ureq::Agent::config_builder().http_status_as_error(false).max_redirects(0).build().into()
}

/// A form as a browser sends it.
pub(crate) fn form(fields: &[(&str, &str)], file_name: &str, picture: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    for (name, value) in fields {
        let part = format!("--{BORDER}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n");
        body.extend(part.into_bytes());
    }
    let head = format!(
        "--{BORDER}\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"{file_name}\"\r\n\
         Content-Type: text/html\r\n\r\n"
    );
    body.extend(head.into_bytes());
    body.extend_from_slice(picture);
    body.extend(format!("\r\n--{BORDER}--\r\n").into_bytes());
    body
}

pub(crate) fn send_form(server: &Server, path: &str, body: &[u8], origin: Option<&str>) -> (u16, String) {
    let kind = format!("multipart/form-data; boundary={BORDER}");
    let mut request = agent().post(format!("{}{path}", server.address)).header("content-type", kind);
    if let Some(origin) = origin {
        request = request.header("origin", origin);
    }
    let answer = request.send(body).unwrap();
    let status = answer.status().as_u16();
    let mut text = String::new();
    answer.into_body().into_reader().read_to_string(&mut text).unwrap();
    (status, text)
}
