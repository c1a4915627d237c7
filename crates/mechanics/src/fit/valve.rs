//! Lash, and springs as fitted. A valve spring stores enough energy to hurt: compress it with a proper tool.

/// Lash after a change of shim, m: lash + shim before − shim after. A thicker shim closes the lash.
///
/// 0.31 with 2.65, then 2.75: 0.21 mm.
pub fn lash_after(lash_before: f64, shim_before: f64, shim_after: f64) -> f64 {
    lash_before + shim_before - shim_after
}

/// The shim for a lash, m: lash + shim before − target.
pub fn shim_for(lash_before: f64, shim_before: f64, target: f64) -> f64 {
    lash_before + shim_before - target
}

/// Travel left before the coils touch at full lift, m: installed height − lift − height at bind.
///
/// 33.10 − 10.60 − 22.10: 0.40 mm.
pub fn coil_bind_margin(installed_height: f64, lift: f64, bind_height: f64) -> f64 {
    installed_height - lift - bind_height
}

/// Spring load at a height, N, with one measured point and a constant rate (N/m):
/// F = F₀ + c (h₀ − h). 330 N at 34.00, 41.0 N/mm: 366.9 N at 33.10, 764.6 N at 23.40.
pub fn spring_load(known_load: f64, known_height: f64, rate: f64, height: f64) -> f64 {
    known_load + rate * (known_height - height)
}

/// Height at which the spring carries a load, m: h₀ − (F − F₀)/c. Infinite or NaN for a rate of 0.
pub fn height_for_load(known_load: f64, known_height: f64, rate: f64, load: f64) -> f64 {
    known_height - (load - known_load) / rate
}

/// Installed height after a change of the shims under the spring, m.
pub fn height_after(height_before: f64, shims_before: f64, shims_after: f64) -> f64 {
    height_before + shims_before - shims_after
}
