//! A value with its uncertainty, first order, as the GUM (JCGM 100:2008) propagates it.

use core::ops::{Add, Mul, Neg, Sub};

/// Names one independent source of error in a [`Sources`] register.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceId(pub u32);

/// Distribution of a source of unit variance; only the Monte Carlo draws look at it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Shape {
    /// Normal; with finite degrees of freedom the t distribution (JCGM 101, 6.4.9).
    Normal,
    /// Equally likely between ±√3: resolution, limits of permissible error.
    Rectangular,
    /// Triangular between ±√6: a sum or difference of two equal rectangular terms.
    Triangular,
}

/// Where a source of error comes from: it says what makes it smaller.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SourceKind {
    /// One reading by itself (the step of the display, its scatter): other readings have others, so that repeats average it.
    Reading,
    /// Setting or zero of a gauge, shared by all that is read with it.
    Setting,
    /// Scale of a gauge, shared by all that is read with it.
    Scale,
    /// Temperature of a part as it was read.
    Temperature,
    /// Temperature of a part that nobody has read.
    AssumedTemperature,
    /// Expansion coefficient of a known material.
    Expansion,
    /// Expansion of a material that nobody has named.
    AssumedMaterial,
    /// What is stated and not measured.
    Stated,
}

/// One independent source of error: a gauge's calibration, a thermometer, one reading's scatter.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// What it is, as the working of a finding names it.
    pub name: String,
    /// Distribution for Monte Carlo.
    pub shape: Shape,
    /// Degrees of freedom behind the standard uncertainty; `INFINITY` for a type B evaluation.
    pub degrees_of_freedom: f64,
    /// Where it comes from.
    pub kind: SourceKind,
}

/// The register of all sources of one assessment. Two values that hold the same [`SourceId`] are correlated by it.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    sources: Vec<Source>,
}

impl Sources {
    /// Registers a source and names it.
    ///
    /// # Panics
    /// After 2³² sources.
    pub fn add(&mut self, source: Source) -> SourceId {
        let id = u32::try_from(self.sources.len()).expect("fewer than 2^32 sources of error");
        self.sources.push(source);
        SourceId(id)
    }

    /// The source of that name.
    ///
    /// # Panics
    /// If the id came from another register.
    pub fn get(&self, id: SourceId) -> &Source {
        &self.sources[id.0 as usize]
    }

    /// How many sources are registered.
    pub fn len(&self) -> usize {
        self.sources.len()
    }

    /// Whether none is registered.
    pub fn is_empty(&self) -> bool {
        self.sources.is_empty()
    }

    /// All sources in the order in which they were added.
    pub fn iter(&self) -> impl Iterator<Item = (SourceId, &Source)> {
        (0..).map(SourceId).zip(&self.sources)
    }
}

/// A value and its first-order dependence on independent sources of error.
///
/// Each term is sensitivity × standard uncertainty of one source of unit variance, with its sign:
/// `x = value + Σ cᵢ εᵢ`, so `u²(x) = Σ cᵢ²` and `u(x, y) = Σ cᵢ dᵢ` over the sources that both hold
/// (JCGM 100, 5.1.2 and 5.2.2 with F.1.2.3: a shared source *is* the correlation).
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertain {
    value: f64,
    /// Sorted by id, each id once, no zero coefficients.
    terms: Vec<(SourceId, f64)>,
}

impl Uncertain {
    /// A value without error.
    pub fn exact(value: f64) -> Self {
        Self { value, terms: Vec::new() }
    }

    /// A value with one source of error and its standard uncertainty, in the value's unit.
    pub fn new(value: f64, id: SourceId, standard: f64) -> Self {
        Self::exact(value).with_term(id, standard)
    }

    /// The best estimate.
    pub fn value(&self) -> f64 {
        self.value
    }

    /// Sensitivity × standard uncertainty of each source, sorted by id.
    pub fn terms(&self) -> &[(SourceId, f64)] {
        &self.terms
    }

    /// Combined standard uncertainty, JCGM 100 equation (10).
    pub fn standard(&self) -> f64 {
        self.variance().sqrt()
    }

    /// Expanded uncertainty U = 2 u (k = 2, about 95 % for a normal distribution).
    pub fn expanded(&self) -> f64 {
        2.0 * self.standard()
    }

    fn variance(&self) -> f64 {
        // Not `sum`: that of nothing is −0.
        self.terms.iter().fold(0.0, |sum, (_, c)| sum + c * c)
    }

    /// Adds `coefficient` × the source to the value; a source that is there already gets the sum of both.
    #[must_use]
    pub fn with_term(mut self, id: SourceId, coefficient: f64) -> Self {
        if coefficient == 0.0 {
            return self;
        }
        match self.terms.binary_search_by_key(&id, |term| term.0) {
            Ok(place) => {
                self.terms[place].1 += coefficient;
                if self.terms[place].1 == 0.0 {
                    self.terms.remove(place);
                }
            }
            Err(place) => self.terms.insert(place, (id, coefficient)),
        }
        self
    }

    /// The value and all its terms times an exact factor.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        let terms = if factor == 0.0 {
            Vec::new()
        } else {
            self.terms.iter().map(|&(id, c)| (id, c * factor)).collect()
        };
        Self { value: self.value * factor, terms }
    }

    /// The value plus an exact constant.
    #[must_use]
    pub fn shifted(&self, by: f64) -> Self {
        Self { value: self.value + by, terms: self.terms.clone() }
    }

    /// `constant + Σ factorᵢ xᵢ`, exact for linear models.
    #[must_use]
    pub fn linear(constant: f64, parts: &[(f64, &Self)]) -> Self {
        let value = parts.iter().fold(constant, |sum, (factor, x)| sum + factor * x.value);
        Self::propagate(value, parts)
    }

    /// A value computed elsewhere with its partial derivatives by each input: `u` by JCGM 100 equation (13).
    #[must_use]
    pub fn propagate(value: f64, parts: &[(f64, &Self)]) -> Self {
        let terms = match parts {
            [] => Vec::new(),
            [(factor, only)] => return Self { value, terms: only.scaled(*factor).terms },
            [(a, x), (b, y)] => merged(&x.terms, *a, &y.terms, *b),
            _ => gathered(parts),
        };
        Self { value, terms }
    }

    /// Arithmetic mean; `None` of nothing.
    pub fn mean(values: &[&Self]) -> Option<Self> {
        if values.is_empty() {
            return None;
        }
        let weight = 1.0 / values.len() as f64;
        let parts: Vec<_> = values.iter().map(|value| (weight, *value)).collect();
        let sum: f64 = values.iter().map(|value| value.value).sum();
        Some(Self::propagate(sum * weight, &parts))
    }

    /// Covariance of two values through the sources that both hold.
    pub fn covariance(&self, other: &Self) -> f64 {
        let (mut i, mut j, mut sum) = (0, 0, 0.0);
        while let (Some(&(a, c)), Some(&(b, d))) = (self.terms.get(i), other.terms.get(j)) {
            if a == b {
                sum += c * d;
            }
            i += usize::from(a <= b);
            j += usize::from(b <= a);
        }
        sum
    }

    /// Correlation coefficient, −1 to 1; 0 when one of them is exact.
    pub fn correlation(&self, other: &Self) -> f64 {
        let scale = self.standard() * other.standard();
        if scale > 0.0 { self.covariance(other) / scale } else { 0.0 }
    }

    /// Effective degrees of freedom by Welch and Satterthwaite, JCGM 100 equation (G.2b).
    ///
    /// `INFINITY` when no term has finite degrees of freedom.
    ///
    /// # Panics
    /// If a term's id came from another register.
    pub fn effective_degrees_of_freedom(&self, sources: &Sources) -> f64 {
        let variance = self.variance();
        let denominator: f64 =
            self.terms.iter().map(|&(id, c)| c * c * c * c / sources.get(id).degrees_of_freedom).sum();
        if denominator > 0.0 { variance * variance / denominator } else { f64::INFINITY }
    }
}

/// a·x + b·y of two sorted lists.
fn merged(x: &[(SourceId, f64)], a: f64, y: &[(SourceId, f64)], b: f64) -> Vec<(SourceId, f64)> {
    let mut out = Vec::with_capacity(x.len() + y.len());
    let mut push = |id, coefficient: f64| {
        if coefficient != 0.0 {
            out.push((id, coefficient));
        }
    };
    let (mut i, mut j) = (0, 0);
    while let (Some(&(left, c)), Some(&(right, d))) = (x.get(i), y.get(j)) {
        match left.cmp(&right) {
            core::cmp::Ordering::Less => push(left, a * c),
            core::cmp::Ordering::Greater => push(right, b * d),
            core::cmp::Ordering::Equal => push(left, a * c + b * d),
        }
        i += usize::from(left <= right);
        j += usize::from(right <= left);
    }
    x[i..].iter().for_each(|&(id, c)| push(id, a * c));
    y[j..].iter().for_each(|&(id, d)| push(id, b * d));
    out
}

/// Σ factor · x of many sorted lists.
fn gathered(parts: &[(f64, &Uncertain)]) -> Vec<(SourceId, f64)> {
    let mut out = Vec::with_capacity(parts.iter().map(|(_, x)| x.terms.len()).sum());
    for (factor, x) in parts {
        out.extend(x.terms.iter().map(|&(id, c)| (id, c * factor)));
    }
    out.sort_by_key(|term| term.0);
    out.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        if same {
            kept.1 += next.1;
        }
        same
    });
    out.retain(|term| term.1 != 0.0);
    out
}

impl Add for &Uncertain {
    type Output = Uncertain;
    fn add(self, other: Self) -> Uncertain {
        Uncertain { value: self.value + other.value, terms: merged(&self.terms, 1.0, &other.terms, 1.0) }
    }
}

impl Sub for &Uncertain {
    type Output = Uncertain;
    fn sub(self, other: Self) -> Uncertain {
        Uncertain { value: self.value - other.value, terms: merged(&self.terms, 1.0, &other.terms, -1.0) }
    }
}

impl Neg for &Uncertain {
    type Output = Uncertain;
    fn neg(self) -> Uncertain {
        self.scaled(-1.0)
    }
}

impl Mul<f64> for &Uncertain {
    type Output = Uncertain;
    fn mul(self, factor: f64) -> Uncertain {
        self.scaled(factor)
    }
}

macro_rules! by_value {
    ($($operator:ident $function:ident),*) => {$(
        impl $operator for Uncertain {
            type Output = Self;
            fn $function(self, other: Self) -> Self {
                $operator::$function(&self, &other)
            }
        }
        impl $operator<&Self> for Uncertain {
            type Output = Self;
            fn $function(self, other: &Self) -> Self {
                $operator::$function(&self, other)
            }
        }
        impl $operator<Uncertain> for &Uncertain {
            type Output = Uncertain;
            fn $function(self, other: Uncertain) -> Uncertain {
                $operator::$function(self, &other)
            }
        }
    )*};
}
by_value!(Add add, Sub sub);

impl Neg for Uncertain {
    type Output = Self;
    fn neg(self) -> Self {
        self.scaled(-1.0)
    }
}

impl Mul<f64> for Uncertain {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        self.scaled(factor)
    }
}
