//! Masses that move, and how well they match.

use super::answer::Answer;
use super::bench::Bench;
use super::model::{Action, ActionKind, Finding, Verdict};
use super::piston::{pin_in, piston_in};
use crate::features::Sheet;
use crate::quantity::{Dimension, Phrase};
use mechanics::metrology::Uncertain;
use mechanics::metrology::form::{chance_apart, taper};

/// Reciprocating mass of each cylinder as it stands: piston, pin, rings, locks, small end.
pub fn reciprocating_mass(
    bench: Bench<'_>,
    answer: &mut Answer<'_>,
    cylinder: u32,
    piston: u32,
) -> Option<Uncertain> {
    let document = bench.document();
    let parts = [
        format!("piston.{piston}.mass"),
        format!("pin.{}.mass", pin_in(bench, cylinder)),
        format!("rod.{cylinder}.small_end_mass"),
    ];
    let values = answer.read_all(&parts)?;
    let fixed = document.masses.rings.map_or(0.0, |m| m.0) + document.masses.locks.map_or(0.0, |m| m.0);
    Some(Uncertain::linear(fixed, &values.iter().map(|v| (1.0, v)).collect::<Vec<_>>()))
}

/// Spread of the reciprocating masses over the engine.
pub fn mass_spread(bench: Bench<'_>) -> Finding {
    let mut answer = Answer::new(
        bench,
        "mass_spread",
        Sheet::Pistons,
        "engine".into(),
        "1",
        "spread of reciprocating mass",
    )
    .limit("mass_spread")
    .dimension(Dimension::Mass)
    .formula(
        "largest − smallest of (piston + pin + rings + locks + small end); the chance is that any two lie too far apart",
        "definition; the balance's shared error cancels",
    );
    let masses: Vec<Option<Uncertain>> =
        bench.cylinders().map(|c| reciprocating_mass(bench, &mut answer, c, piston_in(bench, c))).collect();
    let masses: Option<Vec<Uncertain>> = masses.into_iter().collect();
    let spread = masses.as_ref().and_then(|m| taper(&m.iter().collect::<Vec<_>>()));
    answer.value(spread.as_ref().map(|s| s.value.clone()), false);
    let most = bench.limit("mass_spread").and_then(|limit| limit.used.max);
    let each: Option<Vec<&Uncertain>> = masses.as_ref().map(|m| m.iter().collect());
    answer.chance_above(each.zip(most).map(|(each, most)| chance_apart(&each, most)));
    let mut finding = answer.finish();
    if let (Verdict::Bad | Verdict::Uncertain, Some(spread)) = (finding.verdict, &spread) {
        finding.why = Phrase::words(format!(
            "cylinder {} is heaviest, {} lightest",
            spread.largest + 1,
            spread.smallest + 1
        ));
        finding.actions.push(Action::new(
            ActionKind::Place,
            Phrase::words(
                "Swap pins and rods as the plan says, then lighten the heaviest piston at the maker's place",
            ),
        ));
    }
    finding
}
