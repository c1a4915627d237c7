//! The backup page: one file that holds everything on this machine, and what reading it back said.

use crate::frame::unbound;
use maud::{Markup, html};

/// One backup in the folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BackupEntry {
    /// Name of the file.
    pub file: String,
    /// When it was made, RFC 3339.
    pub when: String,
    /// Its size in bytes.
    pub bytes: u64,
    /// What reading it back said just now: what it holds, or what is wrong with it. `None` for older ones, which are
    /// not read each time.
    pub state: Option<Result<String, String>>,
}

/// The page. `folder` is where the files lie.
pub fn backup_page(token: &str, folder: &str, backups: &[BackupEntry], notice: Option<&str>) -> String {
    let body = html! {
        @if let Some(notice) = notice { p.notice role="status" { (notice) } }
        div.page {
            h1 { "Backup" }
            p { "A backup is one file with every engine, every version of its document and every reading on this machine. It is made while others go on working. Before it is called good it is read back from end to end and restored on trial." }
            form.actions.no-print method="post" action="/backups" {
                input type="hidden" name="_token" value=(token);
                button.main type="submit" { "Make a backup now" }
                a.button href="/" { "Shelf" }
            }
            h2 { "Backups on this machine" }
            @if backups.is_empty() {
                p { "None yet." }
            } @else {
                div.scroll role="region" aria-label="Backups, table" tabindex="0" { (table(backups)) }
            }
            h2 { "Where it is safe" }
            p { "A disk that fails takes its own backups with it: download the file to another disk, or copy it from the folder " code { (folder) } "." }
            p { "To restore one, in a terminal: " code { "crosshatch restore FILE --data NEW-FOLDER" } "." }
        }
    };
    unbound("Backup", token, &[], &body)
}

fn table(backups: &[BackupEntry]) -> Markup {
    html! {
        table.backups {
            thead { tr { th scope="col" { "made" } th scope="col" { "size" } th scope="col" { "read back just now" } th scope="col" { "file" } } }
            tbody {
                @for backup in backups {
                    tr {
                        th scope="row" { (crate::words::when(&backup.when)) }
                        td { (size(backup.bytes)) }
                        td {
                            @match &backup.state {
                                Some(Ok(words)) => { b { "good" } ": " (words) }
                                Some(Err(problem)) => { b.stops { "bad" } ": " (problem) }
                                None => { span.quiet { "not read just now: only the newest are" } }
                            }
                        }
                        td { a href=(format!("/backups/{}", crate::words::path_query(&backup.file))) download { (backup.file) } }
                    }
                }
            }
        }
    }
}

/// "412 kB", "3.1 MB".
fn size(bytes: u64) -> String {
    if bytes < 1_000_000 {
        format!("{} kB", bytes.div_ceil(1000))
    } else {
        format!("{}.{} MB", bytes / 1_000_000, bytes % 1_000_000 / 100_000)
    }
}

#[cfg(test)]
mod tests {
    use super::size;

    #[test]
    fn sizes_are_short() {
        assert_eq!(size(411_648), "412 kB");
        assert_eq!(size(3_149_824), "3.1 MB");
    }
}
