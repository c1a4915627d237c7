//! The parts of the engine as the document describes them: nominal sizes, materials, how they are held.

use super::limits::Target;
use super::workshop::OperationKind;
use crate::quantity::{
    Angle, Expansion, Force, Inertia, Length, Mass, Pressure, Ratio, Stiffness, Torque, TorsionalStiffness,
    Volume,
};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Materials whose expansion differs enough to matter at a hundredth of a millimetre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema, Hash, PartialOrd, Ord)]
#[serde(rename_all = "snake_case")]
pub enum Material {
    /// Grey (lamellar) iron.
    GreyIron,
    /// Steel.
    Steel,
    /// Aluminium casting, block or head.
    AluminiumCasting,
    /// Magnesium casting, block.
    MagnesiumCasting,
    /// Low-silicon forged piston alloy.
    ForgedPistonLowSilicon,
    /// Piston alloy with about 12 % silicon.
    PistonEutectic,
    /// Piston alloy with about 18 % silicon.
    PistonHypereutectic,
    /// Titanium alloy.
    Titanium,
    /// Bronze.
    Bronze,
}

/// How the cylinders of an engine are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Cylinders {
    /// In one casting, with a deck that all heads of a bank stand on.
    OneCasting,
    /// Each is a barrel of its own on the crankcase, with a sealing face of its own.
    SeparateBarrels,
}

/// Cylinder block, or the crankcase under separate barrels.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Block {
    /// One casting, or separate barrels as most air-cooled engines have them; one casting when left out.
    pub cylinders: Option<Cylinders>,
    /// Material of the casting, or of the crankcase under separate barrels.
    pub material: Option<Material>,
    /// Expansion coefficient where the maker states one.
    pub expansion: Option<Expansion>,
    /// Material of the liners that the pistons run in, where it is not that of the casting; of separate barrels that of the barrels.
    pub liner_material: Option<Material>,
    /// Expansion coefficient of the liners or barrels where their maker states one.
    pub liner_expansion: Option<Expansion>,
    /// Crank axis to deck, or to the sealing face of a separate barrel with its shim in place.
    pub deck_height: Option<Length>,
    /// Thickness of the shim that lies under each separate barrel now; 0 where there is none.
    pub barrel_shim: Option<Length>,
    /// Bore before any cut of this rebuild (the casting as it is now).
    pub bore_as_found: Option<Length>,
    /// Nominal bore wall at the bore as found.
    pub wall: Option<Length>,
    /// Bores are finished and read with a torque plate on.
    pub torque_plate: Option<bool>,
    /// Stock that may still be taken from the deck.
    pub deck_stock: Option<Length>,
    /// Length of the bore from the deck.
    pub bore_length: Option<Length>,
    /// Angle between the crossing hone marks.
    pub hone_angle: Option<Angle>,
    /// Diameter of the main bearing housings.
    pub main_housing: Option<Target>,
}

impl Block {
    /// Is each cylinder a barrel of its own?
    pub fn is_of_separate_barrels(&self) -> bool {
        self.cylinders == Some(Cylinders::SeparateBarrels)
    }

    /// Is it a casting with liners of a stated material?
    pub fn is_lined(&self) -> bool {
        self.liner_material.is_some() && !self.is_of_separate_barrels()
    }

    /// What a bore gets that is beyond its casting: a new liner where there are liners, else a sleeve.
    pub fn bore_insert(&self) -> &'static str {
        if self.is_lined() { "liner" } else { "sleeve" }
    }

    /// What the bores are made of: the liners where their material is stated, else the casting. Nothing is said of separate barrels by
    /// the material of the crankcase under them.
    pub fn bore_material(&self) -> Option<Material> {
        self.liner_material.or(self.material.filter(|_| !self.is_of_separate_barrels()))
    }

    /// Does that work cut magnesium? Boring and honing cut what the bores are made of, other work on the block cuts the casting.
    pub fn is_magnesium_under(&self, work: OperationKind) -> bool {
        use OperationKind as K;
        let cut = match work {
            K::Bore | K::Hone => self.bore_material(),
            K::Sleeve | K::AlignHone | K::DeckSkim => self.material,
            _ => None,
        };
        cut == Some(Material::MagnesiumCasting)
    }

    /// Expansion coefficient stated for that.
    pub fn bore_expansion(&self) -> Option<Expansion> {
        if self.liner_material.is_some() || self.is_of_separate_barrels() {
            self.liner_expansion
        } else {
            self.expansion
        }
    }
}

/// Crankshaft.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Crank {
    /// Material.
    pub material: Option<Material>,
    /// Main journal diameter.
    pub main_journal: Option<Target>,
    /// Crank pin diameter.
    pub pin_journal: Option<Target>,
    /// Main journals that were ground to another size: the range of each, by its number.
    pub ground_mains: BTreeMap<String, Target>,
    /// Crank pins that were ground to another size: the range of each, by its number.
    pub ground_pins: BTreeMap<String, Target>,
    /// Web thickness along the axis.
    pub web_thickness: Option<Length>,
    /// Web width across.
    pub web_width: Option<Length>,
    /// Fillet radius.
    pub fillet: Option<Length>,
    /// Mass.
    pub mass: Option<Mass>,
    /// Inertia of the nose with hub.
    pub nose_inertia: Option<Inertia>,
    /// Inertia of each throw.
    pub throw_inertia: Option<Inertia>,
    /// Inertia of flywheel and clutch.
    pub flywheel_inertia: Option<Inertia>,
    /// Torsional stiffness of each shaft piece from the nose to the flywheel.
    pub stiffness: Option<Vec<TorsionalStiffness>>,
    /// Loss factor of the shaft in torsion, its damping as a share of its stiffness (0 to 1).
    pub loss_factor: Option<Ratio>,
    /// Main bearing that holds the crank lengthwise, counted from the front.
    pub thrust_bearing: Option<u32>,
}

/// Bearing shells of one kind.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Shells {
    /// Wall thickness of each grade that can be had, by the shop's name for the grade.
    pub grades: BTreeMap<String, Length>,
    /// Standard uncertainty (k = 1, half of a stated ±) of a wall whose grade is taken from the box and not measured.
    pub grade_spread: Option<Length>,
    /// Width.
    pub width: Option<Length>,
    /// Grade fitted now at each journal: one name, or two when upper and lower differ.
    pub fitted: BTreeMap<String, Vec<String>>,
}

/// Connecting rods.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Rods {
    /// Material.
    pub material: Option<Material>,
    /// Centre to centre.
    pub length: Option<Length>,
    /// Big end housing without shells, bolts torqued.
    pub big_end: Option<Target>,
    /// Small end bush bore.
    pub small_end: Option<Target>,
    /// Mass of one rod.
    pub mass: Option<Mass>,
    /// Part of the mass that counts with the piston.
    pub small_end_mass: Option<Mass>,
    /// Part of the mass that counts with the crank pin.
    pub big_end_mass: Option<Mass>,
    /// Two rods share each crank pin.
    pub paired: Option<bool>,
    /// Stretch of the bolts when tightened.
    pub bolt_stretch: Option<Target>,
}

/// Pistons.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Pistons {
    /// Material.
    pub material: Option<Material>,
    /// Expansion coefficient where the maker states one.
    pub expansion: Option<Expansion>,
    /// Skirt diameter at the maker's gauge point.
    pub gauge_diameter: Option<Length>,
    /// Height of the gauge point above the lower edge of the skirt.
    pub gauge_height: Option<Length>,
    /// Pin axis to crown edge.
    pub compression_height: Option<Length>,
    /// Volume of the dish in the crown, zero or more: it adds to the volume above the piston. 0 says that the crown is flat;
    /// without dish and dome the compression is not known.
    pub dish: Option<Volume>,
    /// Volume of the dome (stands above the crown; zero or more).
    pub dome: Option<Volume>,
    /// Volume between top land and bore.
    pub top_land_crevice: Option<Volume>,
    /// Pin offset toward the thrust side.
    pub pin_offset: Option<Length>,
    /// Mass of one piston without pin and rings.
    pub mass: Option<Mass>,
    /// Cylinder in which each piston stands now, piston 1 first; in order when left out.
    pub in_cylinder: Option<Vec<u32>>,
}

impl Pistons {
    /// What the crown takes from the space above it, m³, a dish negative; none where neither dish nor dome is stated.
    pub fn crown_volume(&self) -> Option<f64> {
        let (dome, dish) = (self.dome.map(|dome| dome.0), self.dish.map(|dish| dish.0));
        dome.or(dish)?;
        Some(dome.unwrap_or(0.0) - dish.unwrap_or(0.0))
    }
}

impl Pistons {
    /// The pin offset as the crank drive counts it, m: positive toward the side to which the throw swings after top dead centre, which
    /// is away from the face that takes the major thrust.
    pub fn offset_of_drive(&self) -> f64 {
        self.pin_offset.map_or(0.0, |toward_thrust| 0.0 - toward_thrust.0)
    }
}

/// Piston pins.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Pins {
    /// Outer diameter.
    pub diameter: Option<Length>,
    /// Inner diameter.
    pub inner_diameter: Option<Length>,
    /// Length.
    pub length: Option<Length>,
    /// Mass of one pin.
    pub mass: Option<Mass>,
    /// Held by interference in the rod.
    pub pressed: Option<bool>,
    /// Cylinder in which each pin stands now, pin 1 first; each with the piston of its number when left out.
    pub in_cylinder: Option<Vec<u32>>,
}

/// Piston rings.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Rings {
    /// Material of the top ring.
    pub material: Option<Material>,
    /// Width of the top ring along the bore.
    pub top_width: Option<Length>,
    /// Width of the second ring along the bore.
    pub second_width: Option<Length>,
    /// Depth below the deck at which gaps are read, ring square in the bore.
    pub gap_depth: Option<Length>,
    /// The oil ring has two rails.
    pub rails: Option<bool>,
}

/// Masses that move and are matched.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Masses {
    /// Rings of one piston.
    pub rings: Option<Mass>,
    /// Pin locks of one piston.
    pub locks: Option<Mass>,
    /// Shells of one rod.
    pub shells: Option<Mass>,
    /// Oil in one throw.
    pub oil: Option<Mass>,
}

/// Cylinder head.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Head {
    /// Material.
    pub material: Option<Material>,
    /// Cylinders under each head, such as `[[1], [2], [3], [4]]` where each has a head of its own; one head for each bank when left out.
    pub cylinders: Option<Vec<Vec<u32>>>,
    /// Chamber volume with valves and plug in.
    pub chamber: Option<Volume>,
    /// Diameter of the oil restrictor to the head.
    pub restrictor: Option<Length>,
    /// Stock that may still be taken from the head face.
    pub face_stock: Option<Length>,
    /// Diameter of the bucket bores.
    pub bucket_bore: Option<Target>,
    /// Diameter of the camshaft bores.
    pub cam_bore: Option<Target>,
    /// Head mounting height above the deck, for the drawing.
    pub height: Option<Length>,
}

/// Head gasket.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Gasket {
    /// Thickness when compressed; 0 where head and deck, or head and barrel, meet without one or with a ring in a groove.
    pub compressed: Option<Length>,
    /// Standard uncertainty (k = 1, half of a stated ±) of that thickness.
    pub spread: Option<Length>,
    /// Inner diameter of the fire ring, or of the sealing ring of a separate barrel.
    pub fire_ring: Option<Length>,
}

impl Gasket {
    /// Bore of the room inside a gasket of this thickness, m. One without thickness leaves no room: where no fire ring is stated that of
    /// the cylinder stands for it.
    pub fn room_bore(&self, thickness: f64, cylinder_bore: f64) -> Option<f64> {
        self.fire_ring.map(|ring| ring.0).or((thickness == 0.0).then_some(cylinder_bore))
    }
}

/// One side of the valve gear.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct ValveSide {
    /// Head diameter.
    pub head_diameter: Option<Length>,
    /// Stem diameter.
    pub stem: Option<Length>,
    /// Seat angle.
    pub seat_angle: Option<Angle>,
    /// Seat width.
    pub seat_width: Option<Length>,
    /// Lift at the valve.
    pub lift: Option<Length>,
    /// Duration at the stated lift, crank degrees.
    pub duration: Option<Angle>,
    /// Lift at which the duration is stated: at the lobe (its follower), before the rocker, as a cam card says it.
    pub duration_at: Option<Length>,
    /// Lobe centre after (intake) or before (exhaust) top dead centre at overlap, crank degrees.
    pub lobe_centre: Option<Angle>,
    /// Closing after bottom dead centre for the effective compression; derived from duration and centre when left out.
    pub closing: Option<Angle>,
    /// Height of the opening and closing ramp of the lobe, at the valve.
    pub ramp: Option<Length>,
    /// Crank angle of that ramp.
    pub ramp_angle: Option<Angle>,
    /// Crank angles of a lift table as read, from base circle to base circle.
    pub table_angle: Vec<Angle>,
    /// Lift of the follower at each of these angles.
    pub table_lift: Vec<Length>,
}

/// Valves of both sides.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Valves {
    /// Intake valves.
    pub intake: ValveSide,
    /// Exhaust valves.
    pub exhaust: ValveSide,
    /// Mass that moves with one valve.
    pub moving_mass: Option<Mass>,
}

/// Valve springs: one nest a valve.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Springs {
    /// Installed height.
    pub installed: Option<Length>,
    /// Load at the installed height.
    pub seat_load: Option<Force>,
    /// Rate.
    pub rate: Option<Stiffness>,
    /// Height at which the coils touch.
    pub bind: Option<Length>,
    /// Shims that can be put under a spring.
    pub shims: Vec<Length>,
}

/// How the lash is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LashAdjustment {
    /// Bucket with a shim.
    BucketShim,
    /// Screw in the rocker.
    RockerScrew,
    /// Finger with a shim.
    FingerShim,
    /// Hydraulic.
    Hydraulic,
}

/// Camshafts and lash.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Cams {
    /// How the lash is set.
    pub lash_adjustment: Option<LashAdjustment>,
    /// Camshaft journal diameter.
    pub journal: Option<Target>,
    /// Bucket diameter.
    pub bucket: Option<Target>,
    /// Lobe lift, where a rocker stands between.
    pub lobe_lift: Option<Length>,
    /// Rocker ratio.
    pub rocker_ratio: Option<f64>,
    /// Pushrod length.
    pub pushrod: Option<Length>,
    /// Camshaft bearings.
    pub bearings: Option<u32>,
}

/// Bolts and studs, by the shop's name for them.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct Fasteners(pub BTreeMap<String, Fastener>);

/// One kind of bolt or stud.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Fastener {
    /// Thread diameter.
    pub diameter: Option<Length>,
    /// Thread pitch.
    pub pitch: Option<Length>,
    /// How many there are.
    pub count: Option<u32>,
    /// 0.2 % proof stress.
    pub proof_stress: Option<Pressure>,
    /// Tightening torque.
    pub torque: Option<Torque>,
    /// Stretch when tightened.
    pub stretch: Option<Length>,
    /// Length over which the stretch is read.
    pub gauge_length: Option<Length>,
    /// Coefficient of friction in thread and under the head.
    pub friction: Option<f64>,
}
