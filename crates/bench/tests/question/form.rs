//! Forms as a browser without script sends them.

/// The fields of the form with this id, as the page holds them, buttons left out.
pub fn fields(page: &str, id: &str) -> Vec<(String, String)> {
    let start = page.find(&format!(" id=\"{id}\"")).unwrap_or_else(|| panic!("no form {id}"));
    let form = &page[start..start + page[start..].find("</form>").expect("a form ends")];
    let mut fields = Vec::new();
    let mut rest = form;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let tag = &rest[..rest.find('>').unwrap_or(rest.len())];
        let name = attribute(tag, "name");
        match (tag.split_whitespace().next(), name) {
            (Some("input"), Some(name)) => {
                fields.push((name, attribute(tag, "value").unwrap_or_default()));
            }
            (Some("textarea"), Some(name)) => {
                let text = rest[tag.len() + 1..].split("</textarea>").next().unwrap_or_default();
                // A browser drops the first line break.
                fields.push((name, unescaped(text.strip_prefix('\n').unwrap_or(text))));
            }
            (Some("select"), Some(name)) => {
                let options = rest[tag.len() + 1..].split("</select>").next().unwrap_or_default();
                let all: Vec<&str> =
                    options.split("<option").skip(1).filter_map(|option| option.split('>').next()).collect();
                let chosen = all.iter().find(|option| option.contains(" selected")).or(all.first());
                fields.push((name, chosen.and_then(|option| attribute(option, "value")).unwrap_or_default()));
            }
            _ => {}
        }
    }
    fields
}

/// The fields with one of them set.
pub fn with(fields: &[(String, String)], name: &str, value: &str) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = fields.iter().filter(|(key, _)| key != name).cloned().collect();
    out.push((name.to_owned(), value.to_owned()));
    out
}

/// A field's value.
#[track_caller]
pub fn value<'a>(fields: &'a [(String, String)], name: &str) -> &'a str {
    let found = fields.iter().find(|(key, _)| key == name);
    found.map_or_else(|| panic!("no field {name} in {fields:?}"), |(_, value)| value.as_str())
}

/// An attribute of a tag.
pub fn attribute(tag: &str, name: &str) -> Option<String> {
    let (_, rest) = tag.split_once(&format!(" {name}=\""))?;
    Some(unescaped(rest.split('"').next()?))
}

fn unescaped(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

/// The form as it goes over the wire.
pub fn encoded(fields: &[(String, String)]) -> String {
    form_urlencoded::Serializer::new(String::new()).extend_pairs(fields).finish()
}

/// Fields written by hand.
pub fn of(fields: &[(&str, &str)]) -> Vec<(String, String)> {
    fields.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
}
