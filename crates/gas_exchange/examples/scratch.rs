#[path = "../tests/whole_engine/engines.rs"]
mod engines;
use gas_exchange::whole_engine::{Settings, Simulation};
use std::f64::consts::PI;
fn main() {
    let spec = engines::turbo_four();
    let rpm = PI / 30.0;
    let mut s = Simulation::new(&spec, 8200.0 * rpm).expect("an engine");
    for target in [8200.0, 7800.0, 5000.0] {
        s.set_speed(target * rpm);
        let t0 = std::time::Instant::now();
        let mut c0 = s.network.steps;
        let mut n = 0;
        loop {
            let p = s.converge(&Settings { tolerance: 1e9, most_cycles: 1 }, |_, _| true).unwrap();
            n += 1;
            let r = p.rotor.unwrap();
            println!("{n} drift {:.5} boost_err {:+.4} imbalance {:+.4} speed {:.0} gate {:.3} T {:.1} air {:.5} texh {:.0} tsteps {}", s.drift(), r.boost_error, r.imbalance, r.speed, r.wastegate_share, p.torque, p.air_flow, p.exhaust_temperature, s.network.steps-c0);
            c0 = s.network.steps;
            if n > 30 { break; }
            s.between(&p);
        }
        println!("{:?}", t0.elapsed());
    }
}
