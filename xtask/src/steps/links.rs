//! Links in the Markdown pages lead somewhere: to a file of the tree, and to a heading in it.
//!
//! Addresses on the web are counted, not opened: the tests run without it.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

use crate::context::Context;
use crate::error::Failure;
use crate::steps::tree::files;
use crate::tally::Tally;

/// What one page links to, and what can be linked to in it.
#[derive(Debug, Default)]
struct Page {
    targets: Vec<String>,
    anchors: Vec<String>,
}

/// One check for each page.
pub fn check(context: &Context) -> Result<Tally, Failure> {
    let mut pages = BTreeMap::new();
    for path in
        files(&context.root)?.into_iter().filter(|path| path.extension().is_some_and(|end| end == "md"))
    {
        let text = fs::read_to_string(&path).map_err(Failure::file(&path))?;
        pages.insert(path, read(&text));
    }
    let mut tally = Tally::default();
    let mut on_the_web = 0;
    for (path, page) in &pages {
        let (web, local): (Vec<_>, Vec<_>) = page.targets.iter().partition(|target| is_on_the_web(target));
        on_the_web += web.len();
        let dead: Vec<_> = local.into_iter().filter(|target| !resolves(path, target, &pages)).collect();
        for target in &dead {
            println!(
                "{}: `{target}` leads nowhere",
                path.strip_prefix(&context.root).unwrap_or(path).display()
            );
        }
        tally += if dead.is_empty() { Tally::PASSED } else { Tally::FAILED };
    }
    println!("{} pages; {on_the_web} links to the web were not opened", pages.len());
    Ok(tally)
}

fn is_on_the_web(target: &str) -> bool {
    ["https://", "http://", "mailto:"].iter().any(|start| target.starts_with(start))
}

fn resolves(page: &Path, target: &str, pages: &BTreeMap<PathBuf, Page>) -> bool {
    let (file, anchor) = target.split_once('#').map_or((target, None), |(file, anchor)| (file, Some(anchor)));
    let path = if file.is_empty() { page.to_path_buf() } else { page.parent().unwrap_or(page).join(file) };
    // Two spellings of one place, such as `docs/../README.md`, are the same page.
    let Ok(path) = path.canonicalize() else { return false };
    match (anchor, pages.iter().find(|(known, _)| known.canonicalize().is_ok_and(|known| known == path))) {
        (Some(anchor), Some((_, page))) => page.anchors.iter().any(|known| known == anchor),
        (Some(_), None) => false,
        (None, _) => true,
    }
}

fn read(text: &str) -> Page {
    let mut page = Page::default();
    let mut heading: Option<String> = None;
    for event in Parser::new_ext(text, Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES) {
        match event {
            Event::Start(Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. }) => {
                page.targets.push(dest_url.into_string());
            }
            Event::Start(Tag::Heading { .. }) => heading = Some(String::new()),
            Event::Text(words) | Event::Code(words) => {
                if let Some(heading) = &mut heading {
                    heading.push_str(&words);
                }
            }
            Event::End(TagEnd::Heading(_)) => {
                let anchor = anchor(&heading.take().unwrap_or_default());
                let before = page.anchors.iter().filter(|known| **known == anchor).count();
                page.anchors.push(if before == 0 { anchor } else { format!("{anchor}-{before}") });
            }
            _ => {}
        }
    }
    page
}

/// How a heading is called in a link: lower case, hyphens for spaces, punctuation dropped.
fn anchor(heading: &str) -> String {
    let kept = heading.trim().chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'));
    kept.collect::<String>().to_lowercase().replace(' ', "-")
}

#[cfg(test)]
mod tests {
    use super::read;

    #[test]
    fn collects_links_pictures_and_headings() {
        let page = read(
            "# The job\n\nSee [units](units.md#metric) and ![a](a.png).\n\n## The job\n\n## `math`, twice\n",
        );
        assert_eq!(page.targets, ["units.md#metric", "a.png"]);
        assert_eq!(page.anchors, ["the-job", "the-job-1", "math-twice"]);
    }
}
