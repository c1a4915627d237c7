//! Every input of the computation with where it comes from.

use super::{PowerView, caution, goes_in, page, units};
use crate::words::sentence;
use engine::power::{Group, InputOrigin, SpecInput};
use maud::{Markup, html};

const GROUPS: [Group; 9] = [
    Group::Air,
    Group::Cylinder,
    Group::Valves,
    Group::Intake,
    Group::Exhaust,
    Group::Turbocharger,
    Group::Fuel,
    Group::Burn,
    Group::Calibration,
];

/// The page.
pub fn inputs_page(power: &PowerView) -> String {
    let body = html! {
        h1 { "What goes in" }
        (caution())
        p { "Each input with its origin. What stands as common practice is a usual figure that nobody has stated for this engine: state it under \u{201c}Spec\u{201d} and it is replaced." }
        (goes_in(power, "Where it comes from"))
        @for group in GROUPS { (inputs(power, group)) }
    };
    page(power, "What goes in", &body)
}

fn inputs(power: &PowerView, group: Group) -> Markup {
    let here: Vec<&SpecInput> = power.specification.inputs.iter().filter(|i| i.group == group).collect();
    let of = |origin: InputOrigin| here.iter().filter(|i| i.origin == origin).count();
    let [stale, published, usual] =
        [InputOrigin::Stale, InputOrigin::Published, InputOrigin::CommonPractice].map(of);
    html! {
        @if !here.is_empty() {
            details.input-group {
                summary { (sentence(group.words())) " " span.count { (here.len()) }
                    @if stale > 0 { " " b.word { (stale) " measured before the part was cut" } }
                    @if published > 0 { " " b.word { (published) " published mean curve" } }
                    @if usual > 0 { " " span.small.quiet { (usual) " common practice" } } }
                @if group == Group::Fuel { p.small.quiet { (units::LAMBDA_IS) } }
                div.wide { table.figures.stacks aria-label=(sentence(group.words())) {
                    thead { tr { th scope="col" { "input" } th.n scope="col" { "value" } th scope="col" { "origin" } th scope="col" { "where" } } }
                    tbody { @for input in here { tr {
                        th scope="row" { (sentence(&units::input_label(&input.label))) }
                        td.n data-label="value" { (power.shown().input(input)) }
                        td data-label="origin" { @if matches!(input.origin, InputOrigin::Stale | InputOrigin::Published) { b.word { (input.origin.words()) } } @else { (input.origin.words()) } }
                        td data-label="where" { @if input.path.is_empty() { span.quiet { "cannot be stated yet" } } @else {
                            a href=(units::place(power, &input.path, true)) title=(input.path) { (units::place_words(power, &input.path)) } } }
                    } } }
                } }
            }
        }
    }
}
