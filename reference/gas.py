"""Gas properties by Cantera: mixtures, frozen and equilibrium products, adiabatic flame temperatures.

`nasa_gas.yaml` holds the polynomials that the Rust code ships, so cp and equilibrium must agree to rounding. `gri30.yaml` is
another set of fits with 53 species: what differs there is what the choice of fits and of eleven species is worth.

The polynomials of NASA TM-4513 are for a standard state of 1 bar: they give the CODATA entropies at 1 bar (N2 191.609, Ar
154.846 J/(mol K)). The file does not say so, and Cantera then takes 1 atm; here the species are made again with 1 bar.
"""

import cantera as ct

from common import number, table


def at_one_bar(species):
    fit = species.thermo
    species.thermo = ct.NasaPoly2(fit.min_temp, fit.max_temp, 1e5, fit.coeffs)
    return species


NASA = {s.name: s for s in ct.Species.list_from_file("nasa_gas.yaml")}
PRODUCTS = ["N2", "O2", "Ar", "CO2", "H2O", "CO", "H2", "OH", "O", "H", "NO"]
LIQUIDS = {
    "C8H18,isooctane": (8, 18, 0, 696.0),
    "C7H8": (7, 8, 0, 871.5),
    "C7H16,n-heptane": (7, 16, 0, 688.0),
    "C2H5OH": (2, 6, 1, 793.7),
    "CH3OH": (1, 4, 1, 795.7),
}
PETROL = {"C8H18,isooctane": 0.429, "C7H8": 0.434, "C7H16,n-heptane": 0.137}


def solution(names):
    return ct.Solution(thermo="ideal-gas", species=[at_one_bar(NASA[name]) for name in names])


GAS = solution(PRODUCTS + list(LIQUIDS))
ELEVEN = solution(PRODUCTS)
GRI30 = ct.Solution("gri30.yaml")


def molar_mass(name):
    return NASA[name].molecular_weight


def volume(blend):
    return sum(x * molar_mass(name) / LIQUIDS[name][3] for name, x in blend.items())


def ethanol_blend(share):
    ethanol, petrol = share / volume({"C2H5OH": 1}), (1 - share) / volume(PETROL)
    blend = {name: x * petrol / (ethanol + petrol) for name, x in PETROL.items()}
    return {**blend, "C2H5OH": ethanol / (ethanol + petrol)}


FUELS = {
    "iso-octane": {"C8H18,isooctane": 1.0},
    "petrol": PETROL,
    "e85": ethanol_blend(0.85),
    "ethanol": {"C2H5OH": 1.0},
    "methanol": {"CH3OH": 1.0},
}


def air(water):
    dry = {"N2": 0.7809, "O2": 0.2095, "Ar": 0.0093, "CO2": 0.0003}
    return {**{name: x * (1 - water) for name, x in dry.items()}, "H2O": water}


def fresh(fuel, lam, water):
    """Moles of the mixture of one mole of fuel."""
    blend = FUELS[fuel]
    demand = sum(x * (c + h / 4 - o / 2) for name, x in blend.items() for c, h, o, _ in [LIQUIDS[name]])
    mix = air(water)
    moles = {name: x * lam * demand / mix["O2"] for name, x in mix.items()}
    return {**moles, **blend}


def frozen(mixture):
    """Complete products; rich ones are CO2, CO, H2O and H2 in equilibrium at 1740 K, by Cantera's solver."""
    GAS.TPX = 1740.0, 1e5, mixture
    atoms = {e: GAS.elemental_mole_fraction(e) for e in ("C", "H", "O", "N", "Ar")}
    lean = atoms["O"] - 2 * atoms["C"] - atoms["H"] / 2
    if lean >= 0:
        moles = {"CO2": atoms["C"], "H2O": atoms["H"] / 2, "O2": lean / 2}
        return {**moles, "N2": atoms["N"] / 2, "Ar": atoms["Ar"]}
    rich = solution(["CO2", "CO", "H2O", "H2", "N2", "Ar"])
    # Elements as CO, H2O or H2, N2, Ar: any start with the right atoms will do.
    water = atoms["O"] - atoms["C"]
    start = {"CO": atoms["C"], "H2O": water, "H2": atoms["H"] / 2 - water, "N2": atoms["N"] / 2, "Ar": atoms["Ar"]}
    if start["H2"] < 0:
        shift = -start["H2"]
        start = {**start, "H2": 0.0, "H2O": water - shift, "CO": atoms["C"] - shift, "CO2": shift}
    rich.TPX = 1740.0, 1e5, start
    rich.equilibrate("TP", rtol=1e-12, max_steps=100000)
    return dict(zip(rich.species_names, rich.X))


def cp(gas, temperature, mixture):
    gas.TPX = temperature, 1e5, mixture
    return gas.cp_mass, gas.enthalpy_mass


def heat_capacities():
    cases = [("none", 1.0, water, "air", air(water)) for water in (0.0, 0.02)]
    for fuel in FUELS:
        for lam, water in ((0.6, 0.0), (0.8, 0.02), (1.0, 0.0), (1.3, 0.01)):
            mixture = fresh(fuel, lam, water)
            cases.append((fuel, lam, water, "fresh", mixture))
            cases.append((fuel, lam, water, "burned", frozen(mixture)))
    rows = []
    for fuel, lam, water, kind, mixture in cases:
        for temperature in (300, 450, 700, 1100, 1600, 2300, 3000):
            found, enthalpy = cp(GAS, temperature, mixture)
            other = "none" if kind == "fresh" else number(cp(GRI30, temperature, rename(mixture))[0])
            rows.append([fuel, lam, water, kind, temperature, number(found), number(enthalpy), other])
    header = "fuel,lambda,water,gas,temperature,cp,enthalpy,cp_gri30"
    return table(header.split(","), rows)


def rename(mixture):
    return {("AR" if name == "Ar" else name): x for name, x in mixture.items()}


def flames():
    rows = []
    for fuel in ("iso-octane", "ethanol", "methanol", "e85"):
        for richness in (0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3, 1.4):
            for pressure, start in ((1e5, 298.15), (40e5, 700.0)):
                mixture = fresh(fuel, 1 / richness, 0.0)
                GAS.TPX = start, pressure, mixture
                enthalpy = GAS.enthalpy_mass
                burned = frozen(mixture)
                found = []
                for products, moles in ((ELEVEN, burned), (GRI30, rename(burned))):
                    products.TPX = 2000.0, pressure, moles
                    products.HP = enthalpy, pressure
                    products.equilibrate("HP", rtol=1e-10, max_steps=100000)
                    found.append(number(products.T))
                rows.append([fuel, number(1 / richness), number(pressure), number(start), *found])
    return table("fuel,lambda,pressure,start,temperature,temperature_gri30".split(","), rows)


def equilibria():
    rows = []
    for fuel in ("iso-octane", "methanol"):
        for lam in (0.55, 0.8, 1.0, 1.05, 1.5):
            burned = frozen(fresh(fuel, lam, 0.0))
            for temperature in (1200, 1700, 2200, 2800, 3600):
                for pressure in (0.5e5, 40e5, 200e5):
                    ELEVEN.TPX = temperature, pressure, burned
                    ELEVEN.equilibrate("TP", rtol=1e-12, max_steps=100000)
                    state = [number(v) for v in (ELEVEN.int_energy_mass, *ELEVEN.X)]
                    rows.append([fuel, lam, temperature, number(pressure), *state])
    return table(["fuel", "lambda", "temperature", "pressure", "energy", *PRODUCTS], rows)


def files():
    return {
        "gas_heat_capacity.csv": heat_capacities(),
        "gas_flame.csv": flames(),
        "gas_equilibrium.csv": equilibria(),
    }
