//! Gauges, readings, operations, stock and prices as the document writes them.

use crate::quantity::{Dimension, Expansion, Length, Money, Ratio, TemperatureDifference, units_of};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

/// What a gauge can see: the kind of evidence that its readings are.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, Default, Hash, PartialOrd, Ord,
)]
#[serde(rename_all = "snake_case")]
pub enum InstrumentKind {
    /// Micrometer over two points.
    Micrometer,
    /// Two-point bore gauge.
    BoreGauge,
    /// Depth gauge or micrometer.
    DepthGauge,
    /// Dial indicator on a stand or a bridge.
    DialIndicator,
    /// Alignment bar or arbor with an indicator.
    AlignmentBar,
    /// Coordinate measuring machine.
    CoordinateMachine,
    /// Ultrasonic thickness gauge.
    UltrasonicGauge,
    /// Feeler gauges.
    FeelerGauge,
    /// Caliper.
    Caliper,
    /// Height gauge on a plate.
    HeightGauge,
    /// Burette.
    Burette,
    /// Balance.
    #[serde(alias = "scale")]
    Balance,
    /// Spring tester.
    SpringTester,
    /// Hardness tester.
    HardnessTester,
    /// Roughness tester.
    RoughnessTester,
    /// Pin gauges or a printed size.
    PinGauge,
    /// Plastic strip that is squeezed in a bearing.
    PlasticStrip,
    /// Flow bench, for ports and injectors.
    FlowBench,
    /// Something else.
    #[default]
    Other,
}

/// One gauge. Its figures are written with their unit, since a gauge may read lengths, volumes, masses or forces.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Instrument {
    /// What it is.
    pub kind: InstrumentKind,
    /// What the shop calls it.
    pub label: String,
    /// Smallest size that it reads, with its unit; it is named for a size only where it is known to reach it.
    pub smallest: Option<String>,
    /// Largest size that it reads, with its unit.
    pub largest: Option<String>,
    /// Smallest step, with its unit.
    pub resolution: Option<String>,
    /// Maximum permissible error of the indication, with its unit.
    pub max_error: Option<String>,
    /// Standard uncertainty (k = 1) of its setting (ring, block, zero), shared by all its readings, with its unit. A
    /// certificate that states ± at k = 2 is halved first.
    pub setting: Option<String>,
    /// Standard deviation (k = 1) of one reading when repeated by hand, with its unit.
    pub repeatability: Option<String>,
    /// Relative standard uncertainty of its scale, shared by its readings on one casting (speed of sound).
    pub scale: Option<Ratio>,
    /// Zero check before the readings, with its unit.
    pub zero_before: Option<String>,
    /// Zero check after the readings, with its unit.
    pub zero_after: Option<String>,
    /// Expansion of its scale where it follows the shop's temperature; its scale is right at 20 °C when left out.
    pub expansion: Option<Expansion>,
    /// Standard uncertainty (k = 1) of the part's temperature as the shop reads it: half of a stated ± at k = 2.
    pub temperature_spread: Option<TemperatureDifference>,
    /// Unit in which it shows and types its values.
    pub unit: Option<String>,
    /// Calibrated on this casting, so that the scale term is down to what `scale` says.
    pub calibrated_on_part: Option<bool>,
}

/// How a part was held when it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, Hash, PartialOrd, Ord)]
#[serde(rename_all = "snake_case")]
pub enum Held {
    /// Lying free.
    Free,
    /// Caps or bolts tightened.
    CapsTorqued,
    /// Torque plate on.
    TorquePlate,
    /// Shells in.
    ShellsIn,
}

/// What can be done to a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, Hash, PartialOrd, Ord)]
#[serde(rename_all = "snake_case")]
pub enum OperationKind {
    /// Bore oversize.
    Bore,
    /// Hone a bore.
    Hone,
    /// Skim the deck.
    DeckSkim,
    /// Skim the head face.
    HeadSkim,
    /// Grind journals.
    Regrind,
    /// Polish journals.
    Polish,
    /// Cut valve seats.
    SeatCut,
    /// Hone the main tunnel in line.
    AlignHone,
    /// Take a cap off, clean its register, seat it again.
    CapSeat,
    /// Fit new shells.
    NewShells,
    /// File ring gaps.
    RingFile,
    /// Set the lash again: another shim, or the screw.
    LashShim,
    /// Change a spring shim.
    SpringShim,
    /// Change the shim under a separate barrel.
    BarrelShim,
    /// Relieve a chamber.
    ChamberRelief,
    /// Fit a sleeve.
    Sleeve,
    /// Replace the part.
    NewPart,
    /// Size a rod's big end.
    BigEndHone,
    /// Only took apart or put together.
    Handled,
}

/// One operation, in the order of the list.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct OperationEntry {
    /// Short name by which readings say "after this"; must be unique.
    pub name: String,
    /// What was done.
    pub kind: Option<OperationKind>,
    /// Which cylinders, journals, banks or valves; all when left out.
    pub only: Vec<String>,
    /// Material taken away or size reached, in words.
    pub note: String,
    /// Material taken off, where it is one figure: on the diameter of a bore or a journal, in depth on a face.
    pub amount: Option<Length>,
    /// When (RFC 3339), for the record.
    pub when: String,
    /// Who.
    pub who: String,
}

/// One reading as written.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct ReadingEntry {
    /// Where: a feature path such as `block.bore.3.mid.thrust`.
    pub feature: String,
    /// Value with its unit, exactly as read.
    pub value: String,
    /// Name of the gauge.
    pub instrument: String,
    /// Temperature of the part.
    pub temperature: String,
    /// Name of the last operation on the part before this reading; empty: before any.
    pub after: String,
    /// How the part was held.
    pub held: Vec<Held>,
    /// Number of the reading that this one corrects (its position, 1 first).
    pub corrects: Option<u64>,
    /// Who read it.
    pub who: String,
    /// When (RFC 3339), for the record.
    pub when: String,
    /// Asked about as a likely slip, and confirmed by the one who read it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub confirmed: bool,
    /// A word beside it.
    pub note: String,
}

/// What the shop has, and what things cost.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Shop {
    /// Currency of the workshop, a three-letter code of ISO 4217 such as EUR; a price without a currency is in this one.
    pub currency: String,
    /// Currency beside the prices, as read: one in the whole file; empty where none names any.
    #[serde(skip)]
    pub prices_in: String,
    /// Loose lash shims in the box.
    pub lash_shims: Vec<Length>,
    /// Lash shims that can be bought.
    pub lash_shim_series: Option<ShimSeries>,
    /// Main shell halves in the box, by grade, without those in the bearings: a pair counts as 2.
    pub main_shell_halves: BTreeMap<String, u32>,
    /// Rod shell halves in the box, by grade, without those in the bearings: a pair counts as 2.
    pub rod_shell_halves: BTreeMap<String, u32>,
    /// Price and lead time of a pair of shells.
    pub shell_pair: Option<Supply>,
    /// Head gaskets that can be had.
    pub gaskets: Vec<GasketOption>,
    /// Price and lead time of jobs, by the word of the operation (`hone`, `align_hone`).
    pub jobs: BTreeMap<String, Supply>,
    /// Price and lead time of parts, by name.
    pub parts: BTreeMap<String, Supply>,
}

impl Shop {
    /// The currency of all prices: that of the workshop, else the one that stands beside the prices; empty where neither is
    /// there.
    pub fn currency(&self) -> &str {
        if self.currency.is_empty() {
            return &self.prices_in;
        }
        currency_code(&self.currency).unwrap_or(&self.currency)
    }
}

/// Temperatures of a part at a bench, °C: from a cold shed to a part out of the oven. Judgement; outside it a figure is a slip.
pub const PART_TEMPERATURES: RangeInclusive<f64> = -30.0..=150.0;

/// Can a part have been read by hand at this temperature, K?
pub fn is_part_temperature(kelvin: f64) -> bool {
    PART_TEMPERATURES.contains(&(kelvin - 273.15))
}

/// The code of ISO 4217 that is written so, in either case.
pub fn currency_code(written: &str) -> Option<&'static str> {
    units_of(Dimension::Money).map(|unit| unit.symbol).find(|code| code.eq_ignore_ascii_case(written.trim()))
}

/// Shims that come in steps.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct ShimSeries {
    /// Thinnest.
    pub from: Option<Length>,
    /// Thickest.
    pub to: Option<Length>,
    /// Step.
    pub step: Option<Length>,
    /// Price and lead time of one.
    pub supply: Supply,
}

/// Price, lead time, where from.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Supply {
    /// Price.
    pub price: Option<Money>,
    /// Days until the part, or the finished job, is in the shop.
    pub days: Option<f64>,
    /// Supplier, or who does the job, in the shop's own words.
    pub from: String,
}

/// One gasket that can be had.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct GasketOption {
    /// Thickness when compressed.
    pub compressed: Option<Length>,
    /// Pieces on hand.
    pub on_hand: u32,
    /// Price and lead time of one.
    pub supply: Supply,
}
