//! An invented compressor of about 420 kW of engine air, for tests and the demo: it belongs to no real machine.
//! Corrected to 100,000 Pa and 298.15 K. Points (corrected flow kg/s, pressure ratio, efficiency), lines from slow to fast.

#![allow(dead_code, missing_docs, reason = "shared by tests and a benchmark, which use different parts")]

use gas_exchange::turbocharger::{CompressorMap, MapPoint, MapSpeedLine, Reference};

pub const REFERENCE: Reference = Reference { pressure: 100_000.0, temperature: 298.15 };
/// Greatest corrected speed, rad/s.
pub const GREATEST_SPEED: f64 = 14_200.0;

type Point = (f64, f64, f64);

pub const POINTS: [(f64, [Point; 7]); 7] = [
    (
        5_000.0,
        [
            (0.0738, 1.221, 0.705),
            (0.1042, 1.220, 0.734),
            (0.1347, 1.217, 0.747),
            (0.1575, 1.211, 0.745),
            (0.1803, 1.198, 0.728),
            (0.2031, 1.174, 0.690),
            (0.2259, 1.136, 0.631),
        ],
    ),
    (
        7_000.0,
        [
            (0.1202, 1.464, 0.721),
            (0.1584, 1.462, 0.751),
            (0.1965, 1.455, 0.764),
            (0.2252, 1.442, 0.762),
            (0.2538, 1.413, 0.745),
            (0.2824, 1.361, 0.706),
            (0.3110, 1.278, 0.645),
        ],
    ),
    (
        8_500.0,
        [
            (0.1593, 1.731, 0.728),
            (0.2023, 1.727, 0.758),
            (0.2452, 1.716, 0.771),
            (0.2774, 1.694, 0.769),
            (0.3096, 1.647, 0.752),
            (0.3418, 1.562, 0.713),
            (0.3740, 1.427, 0.652),
        ],
    ),
    (
        10_000.0,
        [
            (0.2017, 2.093, 0.731),
            (0.2486, 2.087, 0.761),
            (0.2956, 2.070, 0.774),
            (0.3308, 2.034, 0.773),
            (0.3660, 1.960, 0.755),
            (0.4012, 1.828, 0.716),
            (0.4365, 1.621, 0.654),
        ],
    ),
    (
        11_500.0,
        [
            (0.2470, 2.578, 0.730),
            (0.2972, 2.569, 0.760),
            (0.3475, 2.542, 0.773),
            (0.3853, 2.488, 0.772),
            (0.4230, 2.375, 0.754),
            (0.4607, 2.176, 0.715),
            (0.4984, 1.870, 0.653),
        ],
    ),
    (
        13_000.0,
        [
            (0.2950, 3.224, 0.725),
            (0.3480, 3.209, 0.755),
            (0.4010, 3.170, 0.768),
            (0.4408, 3.088, 0.766),
            (0.4805, 2.920, 0.749),
            (0.5203, 2.627, 0.710),
            (0.5600, 2.185, 0.649),
        ],
    ),
    (
        14_200.0,
        [
            (0.3353, 3.887, 0.718),
            (0.3900, 3.867, 0.748),
            (0.4448, 3.813, 0.761),
            (0.4858, 3.702, 0.759),
            (0.5269, 3.475, 0.742),
            (0.5679, 3.081, 0.703),
            (0.6090, 2.495, 0.643),
        ],
    ),
];

pub fn lines() -> Vec<MapSpeedLine> {
    let line = |&(speed, points): &(f64, [Point; 7])| MapSpeedLine {
        speed,
        points: points
            .map(|(flow, pressure_ratio, efficiency)| MapPoint { flow, pressure_ratio, efficiency })
            .to_vec(),
    };
    POINTS.iter().map(line).collect()
}

pub fn map() -> CompressorMap {
    CompressorMap::new(REFERENCE, GREATEST_SPEED, &lines()).unwrap()
}
