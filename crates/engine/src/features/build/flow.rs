//! Flow of the ports and of the injectors on the bench.

use super::{Spec, column, row};
use crate::document::{Document, InstrumentKind as K, Material, PortFlow};
use crate::features::{Catalogue, Sheet, Side};
use crate::quantity::Dimension as D;

pub(super) fn flow(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    for side in Side::BOTH {
        let (id, title, port) = match side {
            Side::Intake => ("intake_ports", "Intake ports on the flow bench", &document.flow_bench.intake),
            Side::Exhaust => {
                ("exhaust_ports", "Exhaust ports on the flow bench", &document.flow_bench.exhaust)
            }
        };
        ports(catalogue, document, cylinders, id, title, side, port);
    }
    injectors(catalogue, document, cylinders);
}

/// Path of the flow of a port at one of the stated lifts, 1 first.
pub fn port_flow_path(side: Side, cylinder: u32, lift: usize) -> String {
    format!("head.port_flow.{}.{cylinder}.{lift}", side.word())
}

/// Path of the flow of an injector: `fuel.injector_flow.3`, or with its number where a cylinder has more than one.
pub fn injector_path(cylinder: u32, injector: u32, of: u32) -> String {
    if of == 1 {
        format!("fuel.injector_flow.{cylinder}")
    } else {
        format!("fuel.injector_flow.{cylinder}.{injector}")
    }
}

fn ports(
    catalogue: &mut Catalogue,
    document: &Document,
    cylinders: &[u32],
    id: &'static str,
    title: &'static str,
    side: Side,
    port: &PortFlow,
) {
    let rows: Vec<_> = cylinders
        .iter()
        .map(|c| {
            row(
                c.to_string(),
                format!("head.port_flow.{}.{c}", side.word()),
                format!("head.{}", document.head_of(*c)),
                format!("{}.{c}", side.word()),
                Some(Material::AluminiumCasting),
            )
        })
        .collect();
    let units = document.engine.units;
    let columns: Vec<_> = port
        .lift
        .iter()
        .enumerate()
        .map(|(i, lift)| {
            let label = crate::quantity::format_value(lift.0, D::Length, units, 2);
            let nominal = port.flow.get(i).map(|f| f.0);
            column(&format!("lift\n{label}"), &(i + 1).to_string(), "head.port_flow", D::VolumeFlow, nominal)
        })
        .collect();
    catalogue.add(
        &Spec {
            id,
            sheet: Sheet::Head,
            title,
            row_name: if side == Side::Intake { "intake port" } else { "exhaust port" },
            gauge: K::FlowBench,
            settles: &[K::FlowBench],
            held: &[],
            decimals: 1,
            hint: "At the depression that the document states, flows referred to the air before the valve.",
        },
        &rows,
        &columns,
    );
}

fn injectors(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let Some(count) = document.fuel.injectors.filter(|n| (1..=12).contains(n)) else { return };
    let rows: Vec<_> = cylinders
        .iter()
        .map(|c| row(c.to_string(), format!("fuel.injector_flow.{c}"), "injectors", c, Some(Material::Steel)))
        .collect();
    let columns: Vec<_> = (1..=count)
        .map(|i| {
            let (label, ending) = if count == 1 {
                ("injector flow".to_owned(), String::new())
            } else {
                (format!("injector {i}"), i.to_string())
            };
            let nominal = document.fuel.injector_flow.map(|f| f.0);
            column(&label, &ending, "fuel.injector_flow", D::VolumeFlow, nominal)
        })
        .collect();
    catalogue.add(
        &Spec {
            id: "injectors",
            sheet: Sheet::Head,
            title: "Injectors on the bench",
            row_name: "cylinder",
            gauge: K::FlowBench,
            settles: &[K::FlowBench],
            held: &[],
            decimals: 0,
            hint: "Held open at the rail pressure, with the bench's test liquid.",
        },
        &rows,
        &columns,
    );
}
