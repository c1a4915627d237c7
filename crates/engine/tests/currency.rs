//! The currency of the workshop: prices without a currency are in it; without one they are refused, never guessed.

use engine::document::{Code, parse_document};
use engine::{Engine, assess, plan};

fn shop(lines: &str) -> engine::document::Parsed {
    parse_document(&format!("crosshatch = 2\n[shop]\n{lines}\n"), "shop.toml")
}

/// Code, place, message with what is expected, of the only mistake.
fn mistake(lines: &str) -> (Code, String, String) {
    let parsed = shop(lines);
    assert_eq!(parsed.diagnostics.len(), 1, "{:#?}", parsed.diagnostics);
    let found = &parsed.diagnostics[0];
    let said = format!(
        "{}; {}; {}",
        found.message,
        found.expected.clone().unwrap_or_default(),
        found.nearest.clone().unwrap_or_default()
    );
    (found.code, found.path.clone(), said)
}

#[test]
fn a_bare_price_is_in_the_currency_of_the_workshop() {
    for lines in [
        "currency = \"SEK\"\nshell_pair = { price = \"310.5\" }",
        "currency = \"sek\"\nshell_pair = { price = \"310.5\" }",
        "currency = \"sek\"\nshell_pair = { price = \"310.5 SEK\" }",
        // The order of the keys is not asked about.
        "shell_pair = { price = \"310.5\" }\ncurrency = \"SEK\"",
        "currency = \"SEK\"\nshell_pair = { price = \"310.5 SEK\" }",
        // As documents were written before there was a currency of the workshop.
        "shell_pair = { price = \"310.5 SEK\" }",
    ] {
        let document = shop(lines).document.unwrap_or_else(|| panic!("{lines}: refused"));
        let price = document.shop.shell_pair.as_ref().and_then(|s| s.price).expect("a price");
        assert!((price.0 - 310.5).abs() < 1e-12, "{lines}");
        assert_eq!(document.shop.currency(), "SEK", "{lines}");
        let engine = Engine::new(document, Vec::new(), Vec::new());
        assert_eq!(plan(&engine, &assess(&engine)).currency, "SEK", "{lines}");
    }
}

#[test]
fn a_bare_price_without_a_currency_is_refused() {
    let (code, path, said) = mistake("shell_pair = { price = \"31\" }");
    assert_eq!((code, path.as_str()), (Code::BareNumber, "shop.shell_pair.price"));
    for words in ["31 has no currency", "12.50 EUR", "currency = \"EUR\"", "ISO 4217", "[shop]"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    // One price with a currency does not speak for another.
    let (code, path, _) = mistake("shell_pair = { price = \"31\" }\nparts.piston.price = \"80 EUR\"");
    assert_eq!((code, path.as_str()), (Code::BareNumber, "shop.shell_pair.price"));
}

#[test]
fn two_currencies_and_unknown_codes_are_refused() {
    let (code, path, said) = mistake("currency = \"EUR\"\nshell_pair = { price = \"31 USD\" }");
    assert_eq!((code, path.as_str()), (Code::MixedCurrencies, "shop.shell_pair.price"));
    assert!(said.contains("USD") && said.contains("EUR"), "{said}");
    for (written, meant) in [("eurs", "EUR"), ("Euro", "EUR")] {
        let (code, path, said) =
            mistake(&format!("currency = \"{written}\"\nshell_pair = {{ price = \"31\" }}"));
        assert_eq!((code, path.as_str()), (Code::UnknownUnit, "shop.currency"));
        assert!(said.ends_with(meant) && said.contains("ISO 4217"), "{said}");
    }
    let (code, _, _) = mistake("currency = \"EUR\"\nshell_pair = { price = \"-31\" }");
    assert_eq!(code, Code::Negative, "a bare price is looked at as any other");
}
