//! The encoding that is hashed gives every row of fields a text of its own.

use proptest::collection::vec;
use proptest::prelude::*;
use store::{Digest, Entry, canonical_json, decode_fields, encode_fields};

/// Text that is likely to be mistaken for the encoding itself.
fn field() -> impl Strategy<Value = String> {
    prop_oneof!["[0-9:,]{0,8}", "[a-c0-3:,µ\\n]{0,12}", any::<String>()]
}

prop_compose! {
    fn entry()(
        texts in vec(field(), 5),
        sequence in any::<u64>(),
        key in proptest::option::of(field().prop_filter("a key is not empty", |key| !key.is_empty())),
        previous in field(),
    ) -> Entry {
        let [engine, kind, body, who, when] = <[String; 5]>::try_from(texts).unwrap();
        let previous = Digest::of(&previous);
        Entry { engine, sequence, kind, body, who, when, delivery_key: key, previous, hash: Digest::START }
    }
}

/// Takes the encoded entry apart again, with nothing but the text.
fn decoded(text: &str) -> Entry {
    let fields = decode_fields(text).unwrap();
    let [format, engine, sequence, kind, who, when, key, previous, body] = fields[..] else {
        panic!("nine fields: {fields:?}")
    };
    assert_eq!(format, "crosshatch-entry/1");
    Entry {
        engine: engine.into(),
        sequence: sequence.parse().unwrap(),
        kind: kind.into(),
        body: body.into(),
        who: who.into(),
        when: when.into(),
        delivery_key: (!key.is_empty()).then(|| key.into()),
        previous: previous.parse().unwrap(),
        hash: Digest::START,
    }
}

/// Any JSON, with the spelling left to chance.
fn json() -> impl Strategy<Value = String> {
    let number =
        prop_oneof![any::<i64>().prop_map(|n| n.to_string()), Just("1.50".into()), Just("-0E+7".into())];
    let text = field().prop_map(|text| serde_json::to_string(&text).unwrap());
    let leaf = prop_oneof![number, text, Just(" true".into()), Just("null\n".into())];
    leaf.prop_recursive(4, 40, 5, |inner| {
        let list = vec(inner.clone(), 0..5).prop_map(|items| format!("[ {} ]", items.join(" ,")));
        let keyed = proptest::collection::hash_map("[a-e\"\\\\é]{0,3}", inner, 0..5).prop_map(|map| {
            let pairs: Vec<String> = map
                .iter()
                .map(|(key, value)| format!("{} : {value}", serde_json::to_string(key).unwrap()))
                .collect();
            format!("{{{}}}", pairs.join(",\t"))
        });
        prop_oneof![list, keyed]
    })
}

proptest! {
    #[test]
    fn fields_come_back(fields in vec(field(), 0..10)) {
        let borrowed: Vec<&str> = fields.iter().map(String::as_str).collect();
        let encoded = encode_fields(&borrowed);
        prop_assert_eq!(decode_fields(&encoded).unwrap(), borrowed);
    }

    #[test]
    fn an_entry_comes_back(entry in entry()) {
        prop_assert_eq!(decoded(&entry.encoded()), entry);
    }

    #[test]
    fn different_entries_never_encode_alike(one in entry(), two in entry()) {
        prop_assert_eq!(one == two, one.encoded() == two.encoded());
    }

    #[test]
    fn a_border_moved_between_two_fields_shows(text in field(), at in any::<prop::sample::Index>(), other in any::<prop::sample::Index>()) {
        let borders: Vec<usize> = text.char_indices().map(|(at, _)| at).chain([text.len()]).collect();
        let (at, other) = (*at.get(&borders), *other.get(&borders));
        let split = |at: usize| { let (left, right) = text.split_at(at); encode_fields(&[left, right]) };
        prop_assert_eq!(at == other, split(at) == split(other));
    }

    #[test]
    fn what_decodes_was_encoded_so(text in "[0-9]{1,2}:[a-c,:0-9]{0,20},") {
        if let Ok(fields) = decode_fields(&text) {
            prop_assert_eq!(encode_fields(&fields), text);
        }
    }

    #[test]
    fn canonical_json_says_the_same_in_one_spelling(text in json()) {
        let canonical = canonical_json(&text).unwrap();
        prop_assert_eq!(canonical_json(&canonical).unwrap(), canonical.clone());
        prop_assert!(!canonical.contains('\n'));
        let value = |text: &str| serde_json::from_str::<serde_json::Value>(text).unwrap();
        prop_assert_eq!(value(&canonical), value(&text));
    }
}
