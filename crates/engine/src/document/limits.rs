//! Allowed ranges and where they come from.

use crate::quantity::{Force, Hardness, Length, Mass, Quantity, Ratio, Roughness, Volume};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where a limit comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, Default)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// The part maker's own sheet.
    PartMaker,
    /// A standard or a class rule.
    Standard,
    /// The builder's own.
    #[default]
    Builder,
    /// Common practice, no source.
    CommonPractice,
}

impl Origin {
    /// How a page names it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::PartMaker => "part maker",
            Self::Standard => "standard or class rule",
            Self::Builder => "builder's own",
            Self::CommonPractice => "common practice, no source",
        }
    }
}

/// By which rule a reading is judged against a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, Default)]
#[serde(rename_all = "snake_case")]
pub enum Decision {
    /// In the house: by the probability that the true size is outside (JCGM 106).
    #[default]
    Risk,
    /// Between firms: with a guard band (ISO 14253-1).
    GuardBand,
}

/// An allowed range.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default, bound = "Q: Serialize + serde::de::DeserializeOwned")]
pub struct Limit<Q> {
    /// Least allowed.
    pub min: Option<Q>,
    /// Most allowed.
    pub max: Option<Q>,
    /// Aimed at; the middle of the range when left out.
    pub target: Option<Q>,
    /// Where it comes from.
    pub origin: Origin,
    /// Sheet, clause or reason.
    pub source: String,
    /// Rule of decision.
    pub decision: Decision,
    /// Standard deviation of the process that makes this size, where the shop knows it; it is the prior of the risk.
    pub process: Option<Q>,
}

impl<Q> Default for Limit<Q> {
    fn default() -> Self {
        Self {
            min: None,
            max: None,
            target: None,
            origin: Origin::default(),
            source: String::new(),
            decision: Decision::default(),
            process: None,
        }
    }
}

impl<Q: Quantity> Limit<Q> {
    /// Least, most and target in SI.
    pub fn si(&self) -> (Option<f64>, Option<f64>, Option<f64>) {
        (self.min.map(Quantity::si), self.max.map(Quantity::si), self.target.map(Quantity::si))
    }
}

/// A nominal size with its allowed range.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Target {
    /// Nominal size.
    pub nominal: Option<Length>,
    /// Least allowed.
    pub min: Option<Length>,
    /// Most allowed.
    pub max: Option<Length>,
    /// Where the range comes from.
    pub origin: Origin,
    /// Sheet, clause or reason.
    pub source: String,
    /// Rule of decision.
    pub decision: Decision,
}

macro_rules! limits {
    ($($(#[$doc:meta])* $name:ident: $quantity:ty,)+) => {
        /// Every limit that a finding may use. Leave out what you do not know: where the trade has a common
        /// practice it is used and marked so, elsewhere the finding says that the limit is missing.
        #[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields, default)]
        pub struct Limits {
            $($(#[$doc])* pub $name: Option<Limit<$quantity>>,)+
        }

        impl Limits {
            /// Names and dimensions, in the order of the document.
            pub const NAMES: &'static [(&'static str, crate::quantity::Dimension)] =
                &[$((stringify!($name), <$quantity as Quantity>::DIMENSION),)+];

            /// The limit of that name in SI, when it is given.
            pub fn given(&self, name: &str) -> Option<Limit<crate::quantity::Length>> {
                match name {
                    $(stringify!($name) => self.$name.as_ref().map(|l| Limit {
                        min: l.min.map(|q| Length(q.si())),
                        max: l.max.map(|q| Length(q.si())),
                        target: l.target.map(|q| Length(q.si())),
                        origin: l.origin,
                        source: l.source.clone(),
                        decision: l.decision,
                        process: l.process.map(|q| Length(q.si())),
                    }),)+
                    _ => None,
                }
            }
        }
    };
}

limits! {
    /// Finished bore diameter.
    bore: Length,
    /// Taper of a bore over its length.
    bore_taper: Length,
    /// Out-of-round of a bore.
    bore_round: Length,
    /// Least bore wall left after boring, the builder's own.
    wall: Length,
    /// Core shift: the outside of a cylinder off the axis of its bore.
    core_shift: Length,
    /// Hardness of the casting.
    hardness: Hardness,
    /// Out-of-round of a main housing.
    main_housing_round: Length,
    /// Offset of a main housing from the line through the ends.
    tunnel_overall: Length,
    /// Offset between neighbouring main housings.
    tunnel_neighbour: Length,
    /// Flatness of the deck.
    deck_flatness: Length,
    /// Flatness of the head face.
    head_flatness: Length,
    /// Roughness Rz of deck and head face.
    face_roughness: Roughness,
    /// Roughness Rk of the bore.
    bore_rk: Roughness,
    /// Reduced peak height Rpk of the bore.
    bore_rpk: Roughness,
    /// Reduced valley depth Rvk of the bore.
    bore_rvk: Roughness,
    /// Difference of deck height over one deck.
    deck_lean: Length,
    /// Difference of the height of a separate barrel round its seat.
    barrel_parallel: Length,
    /// Difference of the heights, with their shims, of the separate barrels under one head.
    barrel_match: Length,
    /// Taper of a journal.
    journal_taper: Length,
    /// Out-of-round of a journal.
    journal_round: Length,
    /// Run-out of the middle mains.
    crank_run_out: Length,
    /// End float of the crank.
    end_float: Length,
    /// Main bearing oil clearance on diameter.
    main_clearance: Length,
    /// Rod bearing oil clearance on diameter.
    rod_clearance: Length,
    /// Crush height of a shell pair.
    crush: Length,
    /// Out-of-round of a big end housing.
    big_end_round: Length,
    /// Side clearance of the rod on its pin.
    rod_side_clearance: Length,
    /// Rod centre distance.
    rod_length: Length,
    /// Skirt clearance at the maker's gauge point.
    piston_clearance: Length,
    /// Clearance of the pin in the piston.
    pin_in_piston: Length,
    /// Clearance of the pin in the small end bush (negative: interference).
    pin_in_rod: Length,
    /// Spread of the reciprocating mass over the cylinders.
    mass_spread: Mass,
    /// End gap of the top ring.
    top_ring_gap: Length,
    /// End gap of the second ring.
    second_ring_gap: Length,
    /// End gap of the oil rails.
    rail_gap: Length,
    /// Side clearance of a ring in its groove.
    ring_side_clearance: Length,
    /// Probability that the top ring butts hot.
    ring_butting: Ratio,
    /// Quench: piston to head at top dead centre.
    quench: Length,
    /// Chamber volume.
    chamber: Volume,
    /// Compression ratio.
    compression_ratio: Ratio,
    /// Spread of the compression ratio over the cylinders.
    compression_spread: Ratio,
    /// Swept volume of the whole engine (class rule).
    swept_volume: Volume,
    /// Lash of the intake valves, cold.
    lash_intake: Length,
    /// Lash of the exhaust valves, cold.
    lash_exhaust: Length,
    /// Intake stem in guide.
    guide_intake: Length,
    /// Exhaust stem in guide.
    guide_exhaust: Length,
    /// Seat run-out against the guide.
    seat_run_out: Length,
    /// Intake seat width.
    seat_width_intake: Length,
    /// Exhaust seat width.
    seat_width_exhaust: Length,
    /// Installed height of a spring.
    spring_installed: Length,
    /// Room before the coils touch at full lift.
    coil_bind_margin: Length,
    /// Load of a spring at its installed height.
    seat_load: Force,
    /// Bucket in its bore.
    bucket_clearance: Length,
    /// Camshaft journal clearance.
    cam_clearance: Length,
    /// Piston to intake valve, cold.
    piston_to_intake_valve: Length,
    /// Piston to exhaust valve, cold.
    piston_to_exhaust_valve: Length,
    /// Pushrod length.
    pushrod: Length,
    /// Stretch of a rod bolt when tightened.
    rod_bolt_stretch: Length,
    /// Oil restrictor to the head, diameter.
    head_restrictor: Length,
    /// Spread of the flow of the ports at the highest lift, share of their mean.
    port_flow_spread: Ratio,
    /// Flow of an injector against the median of all, share.
    injector_spread: Ratio,
}
