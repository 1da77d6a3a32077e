"""Parts 1 and 2 of “The absorption cycle”: one pressure, and heat in against heat out."""

from functools import lru_cache

from warmside.marking.exercise import Item, Job, Mistake
from warmside.marking.job_card import Draw, Entry
from warmside.marking.wrong_turns import kelvin, read_as_celsius
from warmside.model.refrigerator import Installation, State, steady_state
from warmside.properties.ammonia import latent_heat, saturation_pressure, saturation_temperature
from warmside.units import ATMOSPHERE, BTU_PER_HOUR, OUNCE, POUND

TABLE = "The table has a line for each 10 °F; what lies between is read to a tenth of that."
ROUNDED = "Figures are rounded on the way."


# --- one pressure -------------------------------------------------------------------------------------------


def whole_pressure(job: Job) -> float:
    """Whole pressure in the unit, absolute [Pa]."""
    return job["gauge_pressure"] + ATMOSPHERE


def boils_at(pressure: float) -> float:
    return float(saturation_temperature(pressure))


def condensing_temperature(job: Job) -> float:
    return boils_at(whole_pressure(job))


CONDENSING_TEMPERATURE = Item(
    name="condensing_temperature",
    title="Where ammonia turns liquid",
    kind="temperature",
    points=2,
    key=condensing_temperature,
    tolerance="0.8 °F",
    why=TABLE,
    hint="Make the gauge's pressure absolute, then find it in the table, between two lines.",
    mistakes=(
        Mistake(
            "the gauge's pressure looked up as absolute",
            "A gauge shows what is above the air's pressure: add 14.7 psi before you look it up.",
            lambda job: boils_at(job["gauge_pressure"]),
            credit=0.5,
        ),
        Mistake(
            "the air's pressure taken off",
            "A gauge shows less than the absolute pressure: add the 14.7 psi.",
            lambda job: boils_at(job["gauge_pressure"] - ATMOSPHERE),
            credit=0.25,
        ),
        Mistake(
            "°F taken as °C",
            "A number of °F needs °F behind it: write “135 degF”.",
            lambda job: read_as_celsius(condensing_temperature(job)),
        ),
    ),
)


def ammonia_part(job: Job) -> float:
    return float(saturation_pressure(job["coil_temperature"]))


AMMONIA_PART = Item(
    name="ammonia_part",
    title="Ammonia's part in the freezer's coil",
    kind="pressure_absolute",
    points=2,
    key=ammonia_part,
    tolerance="2 %",
    why=TABLE,
    could_be=("20 psi", "60 psi"),
    hint="It boils at the coil's temperature: which pressure stands beside that in the table?",
    mistakes=(
        Mistake(
            "the whole pressure given",
            "The whole is ammonia's part and hydrogen's together; ammonia boils by its own part.",
            whole_pressure,
        ),
        Mistake(
            "hydrogen's part given",
            "That is what is left for hydrogen. Asked is the part by which ammonia boils.",
            lambda job: whole_pressure(job) - ammonia_part(job),
            credit=0.25,
        ),
        Mistake(
            "the air's pressure taken off",
            "The table is absolute already, and so is what is asked: leave the 14.7 psi.",
            lambda job: ammonia_part(job) - ATMOSPHERE,
            credit=0.25,
        ),
    ),
)


def hydrogen_part(job: Job) -> float:
    return whole_pressure(job) - job.value("ammonia_part")


HYDROGEN_PART = Item(
    name="hydrogen_part",
    title="Hydrogen's part",
    kind="pressure_absolute",
    points=1,
    key=hydrogen_part,
    tolerance="1 %",
    why="A large number less a small one that is good to 2 %.",
    hint="Whole pressure, absolute, less ammonia's part.",
    mistakes=(
        Mistake(
            "the gauge's pressure taken for the whole",
            "Ammonia's part is absolute, so the whole must be absolute as well.",
            lambda job: job["gauge_pressure"] - ammonia_part(job),
            credit=0.5,
        ),
        Mistake(
            "ammonia's part added",
            "Both parts together make the whole: take ammonia's part off.",
            lambda job: whole_pressure(job) + ammonia_part(job),
        ),
        Mistake(
            "the whole given",
            "The whole isn't hydrogen alone: ammonia makes its own part of it.",
            whole_pressure,
        ),
    ),
)


# --- heat in, heat out --------------------------------------------------------------------------------------


def cold(job: Job) -> float:
    """Heat that both coils take out of the boxes [W]."""
    return job["freezer_cold"] + job["food_cold"]


def watts_as_btu(job: Job) -> float:
    """The number of watts of the heater, taken for so many Btu/h [W]."""
    return job["heater"] * BTU_PER_HOUR


UNITS_MIXED = "The heater's line is in W, the others in Btu/h; a watt is 3.41 Btu/h."


def heat_leaving(job: Job) -> float:
    return job["heater"] + cold(job)


HEAT_LEAVING = Item(
    name="heat_leaving",
    title="Heat that leaves at the back",
    kind="power",
    points=1,
    key=heat_leaving,
    tolerance="2 %",
    why=ROUNDED,
    could_be=("400 Btu/h", "3000 Btu/h"),
    hint="What goes in must come out: the heater's heat, and what both coils take out of the boxes.",
    mistakes=(
        Mistake(
            "the cold left out",
            "What the coils take out of the boxes must leave at the back as well.",
            lambda job: job["heater"],
            credit=0.25,
        ),
        Mistake(
            "the cold taken off",
            "Heat out of the boxes comes on top of the heater's: add it.",
            lambda job: job["heater"] - cold(job),
        ),
        Mistake("W and Btu/h in one sum", UNITS_MIXED, lambda job: watts_as_btu(job) + cold(job)),
    ),
)


def other_parts(job: Job) -> float:
    return job["condenser_heat"] + job["rectifier_heat"] + job["boiler_loss"]


def absorber_heat(job: Job) -> float:
    return job.value("heat_leaving") - other_parts(job)


ABSORBER_HEAT = Item(
    name="absorber_heat",
    title="What the absorber gives off",
    kind="power",
    points=2,
    key=absorber_heat,
    tolerance="3 %",
    why="A difference of numbers that are rounded to 5 Btu/h.",
    hint="From all that leaves take off what leaves elsewhere; the rest leaves at the absorber.",
    mistakes=(
        Mistake(
            "the boiler's loss left out",
            "The boiler loses heat to the air by itself: that doesn't reach the absorber.",
            lambda job: heat_leaving(job) - job["condenser_heat"] - job["rectifier_heat"],
            credit=0.5,
        ),
        Mistake(
            "the other three added up",
            "Those three leave elsewhere: take them off what leaves in all.",
            other_parts,
            credit=0.25,
        ),
        Mistake(
            "all that leaves given",
            "Part of that leaves at the condenser, the rectifier and the boiler.",
            heat_leaving,
        ),
    ),
)


def cop(job: Job) -> float:
    return cold(job) / job["heater"]


COP = Item(
    name="cop",
    title="Cold for heat",
    kind="number",
    points=2,
    key=cop,
    tolerance="3 %",
    why=ROUNDED,
    hint="Cold over heat, both in the same unit.",
    mistakes=(
        Mistake("turned upside down", "It is what you get over what you pay.", lambda job: 1.0 / cop(job)),
        Mistake(
            "W and Btu/h in one sum", UNITS_MIXED, lambda job: cold(job) / watts_as_btu(job), credit=0.25
        ),
        Mistake(
            "all that leaves taken for what is paid",
            "Paid for is the heater's heat alone.",
            lambda job: cold(job) / heat_leaving(job),
            credit=0.25,
        ),
    ),
)


def compressor_power(job: Job) -> float:
    return cold(job) / job["compressor_cop"]


COMPRESSOR_POWER = Item(
    name="compressor_power",
    title="What a compressor would take",
    kind="power",
    points=1,
    key=compressor_power,
    tolerance="3 %",
    why=ROUNDED,
    hint="The same cold, over the compressor's COP; in W.",
    mistakes=(
        Mistake(
            "cold times COP",
            "With a COP above 1 it takes less than the cold that it makes: divide.",
            lambda job: cold(job) * job["compressor_cop"],
        ),
        Mistake(
            "the cold itself given",
            "That is the cold. What is paid for it is less, by the COP.",
            cold,
        ),
        Mistake(
            "a number of Btu/h written as W",
            "The cold is in Btu/h: a watt is 3.41 of them.",
            lambda job: compressor_power(job) / BTU_PER_HOUR,
            credit=0.25,
        ),
    ),
)


def flow_of(heat: float, temperature: float) -> float:
    return heat / float(latent_heat(temperature))


def ammonia_flow(job: Job) -> float:
    return flow_of(cold(job), job["coil_temperature"])


AMMONIA_FLOW = Item(
    name="ammonia_flow",
    title="Ammonia that carries the cold",
    kind="mass_flow",
    points=2,
    key=ammonia_flow,
    tolerance="3 %",
    why=TABLE,
    hint="Cold over what a pound takes up as it boils, at the coil's temperature; 16 oz are a pound.",
    mistakes=(
        Mistake(
            "the heater's heat in place of the cold",
            "What ammonia takes up as it boils is the heat out of the boxes.",
            lambda job: flow_of(job["heater"], job["coil_temperature"]),
            credit=0.25,
        ),
        Mistake(
            "heat of the condenser's line",
            "It boils in the coil, so take the table's line at the coil's temperature.",
            lambda job: flow_of(cold(job), condensing_temperature(job)),
            credit=0.5,
        ),
        Mistake(
            "a number of pounds written as ounces",
            "The table says what a pound takes up; a pound is 16 oz.",
            lambda job: ammonia_flow(job) * OUNCE / POUND,
            credit=0.25,
        ),
    ),
)


# --- lines of the job card ----------------------------------------------------------------------------------


SIZES = ("6 cu ft", "8 cu ft", "18 cu ft")


@lru_cache(maxsize=64)
def at_full_demand(size: str, ambient: float) -> State:
    """Return the model's state of a correct refrigerator of a size, ambient in °F."""
    return steady_state(Installation.of(size), kelvin(ambient))


def yard(draw: Draw) -> tuple[Entry, ...]:
    """Draw a sealed unit in order: its pressure, and where its heat goes, by the model."""
    size, ambient = draw.pick(SIZES), draw.between(80, 90, 1)
    state = at_full_demand(size, ambient)

    def heat(name: str, what: str, watts: float) -> Entry:
        return Entry(name, f"Yard: {what}", f"{5 * round(watts / BTU_PER_HOUR / 5)} Btu/h", "power")

    return (
        Entry("yard_unit", "Yard: sealed unit", f"{size}, at full demand, {ambient:.0f} °F outside"),
        Entry(
            "gauge_pressure",
            "Yard: whole pressure, by gauge, on its data sheet",
            f"{draw.between(295, 395, 1):.0f} psig",
            "pressure_gauge",
        ),
        Entry(
            "coil_temperature",
            "Yard: ammonia boils in the freezer's coil at",
            f"{draw.pick([1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13, 14])} °F",
            "temperature",
        ),
        Entry("heater", "Yard: heater, measured", f"{float(state.heat_input):.0f} W", "power"),
        heat("freezer_cold", "heat out of the freezer", float(state.freezer_cooling)),
        heat("food_cold", "heat out of the food compartment", float(state.food_cooling)),
        heat("condenser_heat", "heat off the condenser", float(state.condenser_heat)),
        heat("rectifier_heat", "heat off the rectifier", float(state.rectifier_heat)),
        heat("boiler_loss", "heat that the boiler loses by itself", float(state.boiler_loss)),
        Entry(
            "compressor_cop",
            "Yard: COP of a compressor for the same box",
            f"{draw.between(1.2, 1.6, 0.1):.1f}",
            "number",
        ),
    )


ITEMS = (
    CONDENSING_TEMPERATURE,
    AMMONIA_PART,
    HYDROGEN_PART,
    HEAT_LEAVING,
    ABSORBER_HEAT,
    COP,
    COMPRESSOR_POWER,
    AMMONIA_FLOW,
)
