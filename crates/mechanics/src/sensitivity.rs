//! A value together with its partial derivatives, ready for [`Uncertain::propagate`].

use crate::metrology::Uncertain;

/// A computed value and its partial derivative by each input, in the order that the function's doc comment gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensitive<const N: usize> {
    /// The value.
    pub value: f64,
    /// ∂value/∂inputᵢ.
    pub sensitivities: [f64; N],
}

impl<const N: usize> Sensitive<N> {
    /// The value with the uncertainty that the inputs give it, JCGM 100:2008 equation (13): first order,
    /// shared sources kept. `inputs` are in the order of the sensitivities.
    pub fn propagate(&self, inputs: [&Uncertain; N]) -> Uncertain {
        let mut parts = [(0.0, inputs[0]); N];
        for (part, (sensitivity, input)) in parts.iter_mut().zip(self.sensitivities.iter().zip(inputs)) {
            *part = (*sensitivity, input);
        }
        Uncertain::propagate(self.value, &parts)
    }

    /// Standard uncertainty from independent standard uncertainties of the inputs, JCGM 100:2008 equation (10).
    pub fn standard_uncertainty(&self, of_inputs: &[f64; N]) -> f64 {
        self.sensitivities.iter().zip(of_inputs).map(|(c, u)| c * u * c * u).sum::<f64>().sqrt()
    }
}
