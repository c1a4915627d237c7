//! Whatever a cylinder is asked to do, it answers with a state or a typed error, never with a number that is none.

use gas_exchange::cylinder::heat_transfer::HeatLaw;
use gas_exchange::cylinder::knock::DelayLaw;
use gas_exchange::cylinder::{CreviceSpec, Cylinder, CylinderError, CylinderSpec, PortFlow, RingSpec, Wiebe};
use gas_exchange::gas::{Air, Fuel, WorkingGas};
use proptest::prelude::*;

fn gas() -> &'static WorkingGas {
    static GAS: std::sync::OnceLock<WorkingGas> = std::sync::OnceLock::new();
    GAS.get_or_init(|| WorkingGas::new(&Fuel::ethanol_blend(0.85).unwrap(), 0.85, &Air::DRY).unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// Two cycles with any compression, speed, boost, burn, ring gap, port size, step and heat law.
    #[test]
    fn a_cylinder_never_leaves_a_number_that_is_none(
        compression in 6.0..16.0_f64,
        speed in 50.0..1200.0_f64,
        boost in 0.2e5..4e5_f64,
        start in -3.0..3.0_f64,
        duration in 0.02..3.0_f64,
        form in 0.5..4.0_f64,
        gap in 0.0..3e-3_f64,
        crevice in 1e-9..3e-6_f64,
        port in 1e-9..2e-6_f64,
        step in 0.001..0.08_f64,
        closing in -2.9..-1.5_f64,
        opening in 1.2..2.9_f64,
        hohenberg in any::<bool>(),
    ) {
        let gas = gas();
        let fresh = gas.fresh();
        let spec = CylinderSpec {
            burn: Some(Wiebe::new(start, duration, 5.0, form).unwrap()),
            knock: Some(DelayLaw::Ethanol { factor: 1.0 }),
            heat: if hohenberg { HeatLaw::Hohenberg { factor: 1.0 } } else { HeatLaw::default() },
            crevice: Some(CreviceSpec { volume: crevice, temperature: 450.0, late_oxidation: 0.5 }),
            rings: Some(RingSpec {
                top_gap: gap, second_gap: gap, land_clearance: 0.3e-3, volume: 0.3e-6, temperature: 430.0,
                crankcase_pressure: 1e5, discharge: 0.86,
            }),
            ..CylinderSpec::plain(0.086, 0.086, 0.143, compression)
        };
        let mut cylinder = Cylinder::new(&spec, gas, -6.0, boost, 330.0, fresh).unwrap();
        let mut angle = -6.0;
        while angle < 19.0 {
            let position = gas_exchange::cylinder::working_cylinder::cycle_angle(angle);
            let closed = position > closing && position + step < opening;
            let state = cylinder.state();
            let outside = if position > 0.0 { 1.1e5 } else { boost };
            let dt = step / speed;
            let mut flow = PortFlow::default();
            if !closed {
                // At most what evens the pressures out, as a real port would.
                let most = 0.5 * state.mass * (state.pressure / outside - 1.0).abs().min(0.5);
                flow.mass = (-port * (state.pressure - outside) * dt).clamp(-most, most);
                let (c, h) = if flow.mass > 0.0 {
                    (fresh, gas.enthalpy(320.0, fresh))
                } else {
                    (state.composition, state.enthalpy)
                };
                flow.enthalpy = flow.mass * h;
                flow.burned = flow.mass * c.burned;
                flow.fuel = flow.mass * c.fuel;
            }
            match cylinder.advance(gas, [angle, angle + step], dt, flow, closed) {
                Ok(()) => {}
                // The only thing that may stop it: the burn that was drawn lies where a valve is open.
                Err(CylinderError::IgnitionWithValveOpen { .. }) => break,
                Err(error) => prop_assert!(false, "{error}"),
            }
            let state = cylinder.state();
            for value in [state.pressure, state.temperature, state.mass, state.gamma, state.gas_constant, state.enthalpy] {
                prop_assert!(value.is_finite());
            }
            prop_assert!(state.pressure > 0.0 && state.temperature > 50.0 && state.temperature < 6000.0);
            prop_assert!((-1e-9..=1.0 + 1e-9).contains(&state.composition.burned));
            prop_assert!((-1e-9..=1.0 + 1e-9).contains(&state.composition.fuel));
            angle += step;
        }
        let totals = cylinder.totals();
        prop_assert!(totals.work().is_finite() && totals.total_heat().is_finite() && totals.knock.value().is_finite());
    }
}
