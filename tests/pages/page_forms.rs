//! The forms and links of a page, read from its HTML as this site writes it, with boxes filled as somebody
//! might.

use canewright::demo;

/// One box of a form.
#[derive(Debug, Clone)]
pub struct Filled {
    name: String,
    value: String,
    /// Somebody types into it.
    typed: bool,
}

/// A form that is sent by POST, with its boxes as the page has them.
#[derive(Debug, Clone)]
pub struct Form {
    pub action: String,
    boxes: Vec<Filled>,
}

/// The forms of a page.
pub struct PageForms {
    /// Those that are posted, but for signing out.
    pub forms: Vec<Form>,
    gets: Vec<Form>,
}

impl PageForms {
    /// The addresses that the forms sent by GET lead to.
    pub fn addresses(&self) -> Vec<String> {
        let address = |form: &Form| {
            let query = serde_urlencoded::to_string(form.boxes()).unwrap();
            format!("{}?{query}", form.action)
        };
        self.gets.iter().map(address).collect()
    }
}

impl Form {
    /// What is sent, without key and token.
    pub fn boxes(&self) -> Vec<(&str, &str)> {
        self.boxes
            .iter()
            .filter(|b| b.name != "form_key" && b.name != "token")
            .map(|b| (b.name.as_str(), b.value.as_str()))
            .collect()
    }

    /// What stands in a box.
    pub fn value(&self, name: &str) -> Option<&str> {
        let found = self.boxes.iter().find(|b| b.name == name);
        found.map(|b| b.value.as_str())
    }

    /// The same form with other content in the first box that somebody types into and that is not secret.
    pub fn with_one_box_changed(&self) -> Option<Self> {
        let secret = ["passphrase", "old", "code", "token"];
        let open = |b: &Filled| b.typed && !secret.contains(&b.name.as_str());
        let mut other = self.clone();
        let first = other.boxes.iter_mut().find(|b| open(b))?;
        first.value = match first.value.parse::<i64>() {
            Ok(number) => (number + 1).to_string(),
            Err(_) => format!("{} 2", first.value),
        };
        Some(other)
    }
}

/// A tag: its name and its attributes, and where the text after it begins.
struct Tag<'a> {
    name: &'a str,
    attributes: Vec<(&'a str, String)>,
    after: usize,
}

impl Tag<'_> {
    fn has(&self, name: &str) -> bool {
        self.attributes.iter().any(|(n, _)| *n == name)
    }

    fn get(&self, name: &str) -> &str {
        let found = self.attributes.iter().find(|(n, _)| *n == name);
        found.map_or("", |(_, value)| value)
    }
}

fn plain(text: &str) -> String {
    let named = text
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#34;", "\"")
        .replace("&#39;", "'")
        .replace("&#60;", "<")
        .replace("&#62;", ">");
    named.replace("&#38;", "&").replace("&amp;", "&")
}

/// All tags of a page in order, closing ones too ("/form").
fn tags(html: &str) -> Vec<Tag<'_>> {
    let mut out = Vec::new();
    let mut at = 0;
    while let Some(open) = html[at..].find('<').map(|n| at + n) {
        let (tag, end) = tag(html, open);
        at = end;
        out.extend(tag);
    }
    out
}

fn tag(html: &str, open: usize) -> (Option<Tag<'_>>, usize) {
    let rest = &html[open + 1..];
    let name_ends = rest
        .find(|c: char| c.is_whitespace() || c == '>')
        .unwrap_or(rest.len());
    let name = &rest[..name_ends];
    if !name.starts_with(|c: char| c.is_ascii_alphabetic() || c == '/') {
        return (None, open + 1);
    }
    let mut attributes = Vec::new();
    let mut left = rest[name_ends..].trim_start();
    while !left.is_empty() && !left.starts_with('>') {
        let ends = left
            .find(|c: char| c.is_whitespace() || c == '=' || c == '>')
            .unwrap_or(left.len());
        let attribute = &left[..ends];
        left = &left[ends..];
        let value = if let Some(quoted) = left.strip_prefix("=\"") {
            let (value, after) = quoted.split_once('"').unwrap_or((quoted, ""));
            left = after;
            plain(value)
        } else {
            String::new()
        };
        left = left.trim_start();
        if attribute.is_empty() {
            break;
        }
        attributes.push((attribute, value));
    }
    let after = html.len() - left.len() + usize::from(!left.is_empty());
    let tag = Tag {
        name,
        attributes,
        after,
    };
    (Some(tag), after)
}

/// The first problem that a form says it has, or else what the page says at its top.
pub fn first_problem(html: &str) -> String {
    let marks = ["<p class=\"problem\"", "<div class=\"alarm\"", "<main"];
    let found = marks.iter().find_map(|mark| html.split_once(mark));
    let Some((_, rest)) = found else {
        return String::new();
    };
    let text = rest.split_once('>').map_or("", |(_, text)| text);
    // What stands before the first tag, then what stands after each.
    let starts = std::iter::once(0).chain(tags(text).into_iter().map(|tag| tag.after));
    starts
        .map(|at| {
            text[at..]
                .split('<')
                .next()
                .unwrap_or_default()
                .trim()
                .to_owned()
        })
        .find(|words| !words.is_empty())
        .unwrap_or_default()
}

/// Addresses of this site that a page links to.
pub fn links_of(html: &str) -> Vec<String> {
    let all = tags(html).into_iter().filter(|t| t.name == "a");
    all.map(|t| {
        t.get("href")
            .split('#')
            .next()
            .unwrap_or_default()
            .to_owned()
    })
    .filter(|href| href.starts_with('/'))
    .collect()
}

/// The forms of a page; one for each button that has a name, as each sends something else.
pub fn forms_of(html: &str, address: &str) -> PageForms {
    let mut page = PageForms {
        forms: Vec::new(),
        gets: Vec::new(),
    };
    let all = tags(html);
    let mut tags = all.iter().peekable();
    while let Some(open) = tags.next() {
        if open.name != "form" {
            continue;
        }
        let mut inside = Vec::new();
        while let Some(tag) = tags.next_if(|t| t.name != "/form") {
            inside.push(tag);
        }
        let action = match open.get("action") {
            "" => address.to_owned(),
            action => action.to_owned(),
        };
        // Two end the session that the page was opened in; one is on every page.
        if action == "/sign-out" || action == "/look" || action == "/mill/stations" {
            continue;
        }
        let boxes = boxes_of(html, &inside);
        let into = if open.get("method") == "post" {
            &mut page.forms
        } else {
            &mut page.gets
        };
        let named: Vec<Filled> = inside
            .iter()
            .filter(|t| t.name == "button" && t.has("name"))
            .map(|t| Filled {
                name: t.get("name").to_owned(),
                value: t.get("value").to_owned(),
                typed: false,
            })
            .collect();
        if named.is_empty() {
            into.push(Form { action, boxes });
        } else {
            for button in named {
                let mut boxes = boxes.clone();
                boxes.push(button);
                into.push(Form {
                    action: action.clone(),
                    boxes,
                });
            }
        }
    }
    page
}

fn boxes_of(html: &str, inside: &[&Tag<'_>]) -> Vec<Filled> {
    let mut boxes: Vec<Filled> = Vec::new();
    for (n, tag) in inside.iter().enumerate() {
        let name = tag.get("name").to_owned();
        let filled = |value: String, typed| Filled {
            name: name.clone(),
            value,
            typed,
        };
        match (tag.name, tag.get("type")) {
            ("input", "hidden") => boxes.push(filled(tag.get("value").to_owned(), false)),
            ("input", "checkbox") => {
                // Of a list of things to choose, the first.
                let listed = tag.get("value") != "yes" && !boxes.iter().any(|b| b.name == name);
                if tag.has("checked") || listed {
                    boxes.push(filled(tag.get("value").to_owned(), false));
                }
            }
            // Of a row of buttons the one that is chosen, else the first.
            ("input", "radio") => {
                let stands = boxes.iter().position(|b| b.name == name);
                let value = filled(tag.get("value").to_owned(), false);
                match stands {
                    None => boxes.push(value),
                    Some(place) if tag.has("checked") => boxes[place] = value,
                    Some(_) => {}
                }
            }
            ("input", kind) => {
                let value = match tag.get("value") {
                    "" => plausible(&name, kind, tag.get("inputmode")),
                    value => value.to_owned(),
                };
                boxes.push(filled(value, true));
            }
            ("textarea", _) => {
                let text = html[tag.after..].split("</textarea>").next();
                let value = match text.unwrap_or_default() {
                    "" => plausible(&name, "text", ""),
                    text => plain(text),
                };
                boxes.push(filled(value, true));
            }
            ("select", _) => {
                let options: Vec<&&Tag<'_>> = inside[n + 1..]
                    .iter()
                    .take_while(|t| t.name != "/select")
                    .filter(|t| t.name == "option")
                    .collect();
                let chosen = options
                    .iter()
                    .find(|o| o.has("selected") && !o.get("value").is_empty())
                    .or_else(|| options.iter().find(|o| !o.get("value").is_empty()));
                let value = chosen.map_or("", |o| o.get("value"));
                boxes.push(filled(value.to_owned(), false));
            }
            _ => {}
        }
    }
    boxes
}

/// What somebody might write into an empty box; boxes that may stay empty do.
fn plausible(name: &str, kind: &str, keys: &str) -> String {
    let text = match name {
        "old" | "signature" => demo::PASSPHRASE,
        "passphrase" => "seven hens on a wall",
        "sign_in" => "wilma",
        "name" | "signed_by" | "pan_name" | "vessel_name" | "scale_name" => "Wilma Stone",
        "pin" => "2580",
        "phone" => "615 555 0187",
        "date" => "2026-10-31",
        "opens" => "8:00",
        "closes" => "17:00",
        "pressed" | "from" => "11:00",
        "year" => "2027",
        "cents" => "12.50",
        "hours" => "2.5",
        "amount" => "12",
        "dose" => "15 mL",
        "its_lot" => "none",
        "maker" | "variety" | "text" | "what" | "note" => "looked at again",
        "refractometer" => "0",
        "temp" => "70",
        _ if kind == "date" || name.contains("temp") || name.contains("spacing") => "",
        _ if name.starts_with("why") || name.ends_with("why") => "looked at again",
        _ if name.contains("brix") => "16.5",
        _ if name.contains("gross") => "400",
        _ if name.contains("capacity") => "2000",
        _ if keys == "decimal" => "2",
        _ => "",
    };
    text.to_owned()
}
