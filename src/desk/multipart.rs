//! A form with a file in it, as a browser sends it (RFC 7578, RFC 2046 5.1.1).

use super::request::Filled;
use super::told::Brought;

/// More parts has no form of the desk.
const MOST: usize = 40;

/// The fields of a form, and its file if one was chosen. What cannot be read is left out.
pub fn read(media: &str, body: &[u8]) -> (Filled, Option<Brought>) {
    let (mut filled, mut file) = (Filled::default(), None);
    let Some(boundary) = boundary(media) else { return (filled, file) };
    for part in parts(body, &boundary).take(MOST) {
        let Some(end) = find(part, b"\r\n\r\n") else { continue };
        let head = String::from_utf8_lossy(&part[..end]).into_owned();
        let bytes = &part[end + 4..];
        let Some(name) = said(&head, "name") else { continue };
        match said(&head, "filename") {
            Some(chosen) if !chosen.is_empty() => {
                file = Some(Brought { name: bare(&chosen), bytes: bytes.into() });
            }
            Some(_) => {}
            None => filled.set(&name, &String::from_utf8_lossy(bytes)),
        }
    }
    (filled, file)
}

/// Without the folders that some browsers send along.
fn bare(name: &str) -> String {
    name.rsplit(['/', '\\']).next().unwrap_or(name).to_owned()
}

fn boundary(media: &str) -> Option<Vec<u8>> {
    let said = media.split(';').find_map(|part| part.trim().strip_prefix("boundary="))?;
    let said = said.trim_matches('"');
    // RFC 2046: 1 to 70 letters.
    (1..=70).contains(&said.len()).then(|| format!("--{said}").into_bytes())
}

/// What stands between the boundaries.
fn parts<'b>(body: &'b [u8], boundary: &'b [u8]) -> impl Iterator<Item = &'b [u8]> {
    let line = [b"\r\n", boundary].concat();
    let mut rest = body.strip_prefix(boundary).unwrap_or_default();
    std::iter::from_fn(move || {
        let inside = rest.strip_prefix(b"\r\n")?;
        let end = find(inside, &line)?;
        rest = &inside[end + line.len()..];
        Some(&inside[..end])
    })
}

fn find(text: &[u8], wanted: &[u8]) -> Option<usize> {
    text.windows(wanted.len()).position(|window| window == wanted)
}

/// A parameter of the head of a part; browsers write `"` as `%22`.
fn said(head: &str, name: &str) -> Option<String> {
    let line =
        head.lines().find(|line| line.to_ascii_lowercase().starts_with("content-disposition:"))?;
    let after = line.split(&format!("; {name}=\"")).nth(1)?;
    Some(after.split('"').next()?.replace("%22", "\"").replace("%0D%0A", " "))
}

#[cfg(test)]
mod tests {
    use super::*;

    const MEDIA: &str = "multipart/form-data; boundary=xYz";

    #[test]
    fn fields_and_a_file_are_read_whatever_is_in_the_file() {
        let body = b"--xYz\r\nContent-Disposition: form-data; name=\"as\"\r\n\r\ncuts\r\n\
            --xYz\r\nContent-Disposition: form-data; name=\"file\"; filename=\"C:\\old\\n%22b.csv\"\r\n\
            Content-Type: text/csv\r\n\r\na,b\r\n--xY\r\n\xff\x00\r\n--xYz--\r\n";
        let (filled, file) = read(MEDIA, body);
        assert_eq!(filled.get("as"), Some("cuts"));
        let file = file.unwrap();
        assert_eq!((&*file.name, &*file.bytes), ("n\"b.csv", &b"a,b\r\n--xY\r\n\xff\x00"[..]));
    }

    #[test]
    fn what_is_no_such_form_has_nothing_in_it() {
        for (media, body) in [
            (MEDIA, &b""[..]),
            (MEDIA, b"--xYz"),
            (MEDIA, b"--xYz\r\nContent-Disposition: form-data; name=\"a\"\r\n\r\nb"),
            (MEDIA, b"--xYz\r\n\r\n\r\n--xYz--"),
            ("multipart/form-data", b"--\r\n\r\n--"),
            ("multipart/form-data; boundary=", b"--\r\n\r\n--"),
        ] {
            let (filled, file) = read(media, body);
            assert!(file.is_none() && filled.get("a").is_none());
        }
    }
}
