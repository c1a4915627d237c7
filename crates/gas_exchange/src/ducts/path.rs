//! Which instructions the kernels use, chosen at run time.

use super::DuctError;
use super::bare::{self, BareFields};
use super::fields::{Fields, Mixing};
use super::kernel::{self, Outcome};
use super::walls;

/// The instructions that the kernels can use.
#[derive(Clone, Copy, Debug, Eq, PartialEq)]
pub enum Path {
    /// One number at a time, on any machine.
    Portable,
    /// Four at a time: AVX2 and FMA of x86-64.
    Avx2,
    /// Eight at a time: AVX-512 F and DQ of x86-64.
    Avx512,
}

impl Path {
    /// All there are, the simplest first.
    pub const ALL: [Self; 3] = [Self::Portable, Self::Avx2, Self::Avx512];

    /// Whether this machine can take it.
    pub fn here(self) -> bool {
        match self {
            Self::Portable => true,
            #[cfg(target_arch = "x86_64")]
            Self::Avx2 => is_x86_feature_detected!("avx2") && is_x86_feature_detected!("fma"),
            #[cfg(target_arch = "x86_64")]
            Self::Avx512 => {
                Self::Avx2.here()
                    && is_x86_feature_detected!("avx512f")
                    && is_x86_feature_detected!("avx512dq")
            }
            #[cfg(not(target_arch = "x86_64"))]
            _ => false,
        }
    }

    /// This path, if the machine can take it.
    ///
    /// # Errors
    /// [`DuctError::Path`] when it cannot.
    pub fn checked(self) -> Result<Self, DuctError> {
        if self.here() { Ok(self) } else { Err(DuctError::Path { path: self }) }
    }

    /// The fastest that this machine can take.
    pub fn best() -> Self {
        Self::ALL.into_iter().rev().find(|path| path.here()).unwrap_or(Self::Portable)
    }
}

/// For each pass a function for every path, and one that chooses after it has checked the span.
macro_rules! dispatch {
    ($(#[$about:meta])* $name:ident: $module:ident::$pass:ident,
     ($fields:ident: $rows:ty, $($argument:ident: $kind:ty),*) -> $result:ty, $($span:ident),+) => {
        $(#[$about])*
        pub fn $name(path: Path, $fields: $rows, $($argument: $kind),*) -> $result {
            assert!($fields.fits($($span),+), "a pass would leave the rows");
            #[cfg(target_arch = "x86_64")]
            #[allow(unsafe_code)]
            {
                use super::lanes_x86::{Eight, Four};
                #[target_feature(enable = "avx2,fma")]
                fn four($fields: $rows, $($argument: $kind),*) -> $result {
                    $module::$pass::<Four>($fields, $($argument),*)
                }
                #[target_feature(enable = "avx512f,avx512dq,avx2,fma")]
                fn eight($fields: $rows, $($argument: $kind),*) -> $result {
                    $module::$pass::<Eight>($fields, $($argument),*)
                }
                // SAFETY: a path is only ever held after `Path::here` said that the CPU has the features.
                match path {
                    Path::Portable => {}
                    Path::Avx2 => return unsafe { four($fields, $($argument),*) },
                    Path::Avx512 => return unsafe { eight($fields, $($argument),*) },
                }
            }
            let _ = path;
            $module::$pass::<f64>($fields, $($argument),*)
        }
    };
}

dispatch! {
    /// Half step and fluxes; see [`kernel::predict`].
    predict: kernel::predict, (fields: &mut Fields, dt: f64, from: usize, to: usize) -> (), from, to
}
dispatch! {
    /// Whole step; see [`kernel::update`].
    update: kernel::update, (fields: &mut Fields, mixing: &Mixing, dt: f64, from: usize, to: usize) -> Outcome, from, to
}
dispatch! {
    /// What follows from the conserved quantities; see [`kernel::follow`].
    follow: kernel::follow, (fields: &mut Fields, mixing: &Mixing, from: usize, to: usize) -> Outcome, from, to
}
dispatch! {
    /// Drag and film of the walls; see [`walls::refresh`].
    refresh_walls: walls::refresh, (fields: &mut Fields, mixing: &Mixing, from: usize, to: usize) -> (), from, to
}
dispatch! {
    /// A step of the ideal gas; see [`bare::step`].
    bare_step: bare::step, (fields: &mut BareFields, dt: f64, cells: usize) -> Outcome, cells
}
