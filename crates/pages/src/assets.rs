//! Style, scripts, fonts and mark, embedded in the program. Nothing is fetched from elsewhere.

/// One embedded file: name in the address, bytes, media type.
const FILES: &[(&str, &[u8], &str)] = &[
    ("crosshatch.css", include_bytes!("../assets/crosshatch.css"), "text/css; charset=utf-8"),
    ("sheet.js", include_bytes!("../assets/sheet.js"), "text/javascript; charset=utf-8"),
    ("queue.js", include_bytes!("../assets/queue.js"), "text/javascript; charset=utf-8"),
    ("engine.js", include_bytes!("../assets/engine.js"), "text/javascript; charset=utf-8"),
    ("moved.js", include_bytes!("../assets/moved.js"), "text/javascript; charset=utf-8"),
    ("plot.js", include_bytes!("../assets/plot.js"), "text/javascript; charset=utf-8"),
    ("power.js", include_bytes!("../assets/power.js"), "text/javascript; charset=utf-8"),
    ("form.js", include_bytes!("../assets/form.js"), "text/javascript; charset=utf-8"),
    ("b612-regular.woff2", include_bytes!("../assets/fonts/b612-regular.woff2"), "font/woff2"),
    ("b612-bold.woff2", include_bytes!("../assets/fonts/b612-bold.woff2"), "font/woff2"),
    ("OFL.txt", include_bytes!("../assets/fonts/OFL.txt"), "text/plain; charset=utf-8"),
    ("favicon.svg", include_bytes!("../assets/favicon.svg"), "image/svg+xml"),
];

/// Bytes and media type of an embedded file, by its name below `/static/`.
pub fn asset(name: &str) -> Option<(&'static [u8], &'static str)> {
    FILES.iter().find(|(n, _, _)| *n == name).map(|(_, bytes, mime)| (*bytes, *mime))
}

/// Address of an embedded file with a tag of its contents, so that a browser may keep it for long.
pub(crate) fn address(name: &str) -> String {
    let bytes = asset(name).map_or(&[][..], |(bytes, _)| bytes);
    // FNV-1a, 64 bit: a tag, not a seal.
    let tag = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("/static/{name}?v={tag:016x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_has_a_type_and_contents() {
        for (name, bytes, mime) in FILES {
            assert!(!bytes.is_empty() && mime.contains('/'), "{name}");
        }
        assert!(asset("crosshatch.css").is_some());
        assert!(asset("../Cargo.toml").is_none());
    }

    #[test]
    fn nothing_is_fetched_from_elsewhere() {
        for (name, bytes, mime) in FILES {
            if mime.starts_with("text/css") || mime.starts_with("text/javascript") {
                let text = std::str::from_utf8(bytes).expect("utf-8");
                assert!(!text.contains("http://") && !text.contains("https://"), "{name}");
            }
        }
    }
}
