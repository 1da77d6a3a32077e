"""Units: the trade's spellings, what is refused, and conversion against published factors."""

import math
import re

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from warmside import units
from warmside.units import (
    KINDS,
    Q_,
    UnitError,
    describe,
    from_si,
    read_quantity,
    show,
    to_si,
    ureg,
)

READ = [
    ("38.5F", "temperature", 38.5, "degF"),
    ("38.5 °F", "temperature", 38.5, "degF"),
    ("38.5 ° F", "temperature", 38.5, "degF"),
    ("38.5 degF", "temperature", 38.5, "degF"),
    ("38.5 deg. F", "temperature", 38.5, "degF"),
    ("38.5 degrees Fahrenheit", "temperature", 38.5, "degF"),
    ("38.5\u00a0℉", "temperature", 38.5, "degF"),
    ("38.5 degree_Fahrenheit", "temperature", 38.5, "degF"),
    ("3.6C", "temperature", 3.6, "degC"),
    ("−5 °C", "temperature", -5, "degC"),
    ("276.8 K", "temperature", 276.8, "kelvin"),
    ("6.5 °F", "temperature_difference", 6.5, "delta_degF"),
    ("6.5 delta_degree_Fahrenheit", "temperature_difference", 6.5, "delta_degF"),
    ("6.5 Δ°F", "temperature_difference", 6.5, "delta_degF"),
    ("3.6 °C difference", "temperature_difference", 3.6, "delta_degC"),
    ("-3.6 K", "temperature_difference", -3.6, "kelvin"),
    ("11 in w.c.", "pressure_gauge", 11, "inch_water_column"),
    ("11 in. W.C.", "pressure_difference", 11, "inch_water_column"),
    ("11 inWC", "pressure_difference", 11, "inch_water_column"),
    ("11 inches of water", "pressure_difference", 11, "inch_water_column"),
    ("11 in H2O", "pressure_difference", 11, "inch_water_column"),
    ("11 inch_H2O_39F", "pressure_difference", 11, "inch_water_column"),
    ("12 psig", "pressure_gauge", 12, "psi"),
    ("12 psi", "pressure_gauge", 12, "psi"),
    ("360 psia", "pressure_absolute", 360, "psi"),
    ("25 bar", "pressure_absolute", 25, "bar"),
    ("2.74 kPa", "pressure_difference", 2.74, "kilopascal"),
    ("0.5 in", "length", 0.5, "inch"),
    (".5in", "length", 0.5, "inch"),
    ('1/2"', "length", 0.5, "inch"),
    ("½ in", "length", 0.5, "inch"),
    ("1 1/4 in", "length", 1.25, "inch"),
    ("1¼ in", "length", 1.25, "inch"),
    ("5 ft 2 in", "length", 62, "inch"),
    ("5′ 2″", "length", 62, "inch"),
    ("-2 ft 6 in", "length", -30, "inch"),
    ("-0 ft 6 in", "length", -6, "inch"),
    ("-1h 30min", "time", -90, "minute"),
    ("24 in²", "area", 24, "inch**2"),
    ("24 sq in", "area", 24, "inch**2"),
    ("6 fl oz", "volume", 6, "fluid_ounce"),
    ("250 ml", "volume", 250, "milliliter"),
    ("8 oz", "mass", 8, "ounce"),
    ("44 cfm", "volume_flow", 44, "foot**3/minute"),
    ("75 m³/h", "volume_flow", 75, "meter**3/hour"),
    ("120 V", "voltage", 120, "volt"),
    ("2.7 amps", "current", 2.7, "ampere"),
    ("44 Ω", "resistance", 44, "ohm"),
    ("44 ohm", "resistance", 44, "ohm"),
    ("100 Ah", "charge", 100, "ampere*hour"),
    ("1500 Btu/h", "power", 1500, "Btu/hour"),
    ("1,500 BTU/hr", "power", 1500, "Btu/hour"),
    ("1,200 W", "power", 1200, "watt"),
    ("1.2e3 W", "power", 1200, "watt"),
    ("0.325 kW", "power", 0.325, "kilowatt"),
    ("12 Btu", "energy", 12, "Btu"),
    ("3 kW*h", "energy", 3, "kilowatt*hour"),
    ("2h 30min", "time", 2.5, "hour"),
    ("2h30min", "time", 2.5, "hour"),
    ("2 hours and 30 minutes", "time", 2.5, "hour"),
    ("30 min.", "time", 30, "minute"),
    ("3°", "angle", 3, "degree"),
    ("40 %", "fraction", 0.4, "dimensionless"),
    ("0.4", "fraction", 0.4, "dimensionless"),
    ("1", "fraction", 1.0, "dimensionless"),
    ("130 %", "fraction", 1.3, "dimensionless"),
    ("0.19", "number", 0.19, "dimensionless"),
    ("0.25 Btu/(h °F)", "heat_conductance", 0.25, "Btu/hour/delta_degF"),
    ("0.25 Btu/h/F", "heat_conductance", 0.25, "Btu/hour/delta_degF"),
    ("0.25 british_thermal_unit / delta_degree_Fahrenheit / hour", "heat_conductance", 0.25, None),
    ("0.13 W/K", "heat_conductance", 0.13, "watt/kelvin"),
    ("4.19 kJ/(kg K)", "specific_heat", 4.19, "kilojoule/kilogram/kelvin"),
    ("21500 Btu/lb", "specific_energy", 21500, "Btu/pound"),
    ("0.2 lb/h", "mass_flow", 0.2, "pound/hour"),
    ("1.15 kg/m³", "density", 1.15, "kilogram/meter**3"),
    ("90 ft/min", "speed", 90, "foot/minute"),
    ("38.5 Fahrenheit degrees", "temperature", 38.5, "degF"),
    ("38.5 F deg", "temperature", 38.5, "degF"),
    ("6.5 F deg", "temperature_difference", 6.5, "delta_degF"),
    ("6.5 degs F", "temperature_difference", 6.5, "delta_degF"),
    ("3.6 Celsius degrees", "temperature_difference", 3.6, "delta_degC"),
    ("38.5\u200b °F", "temperature", 38.5, "degF"),
    ("\ufeff38.5 °F", "temperature", 38.5, "degF"),
    ("\u20115 °C", "temperature", -5, "degC"),
    ("\u20105 °C", "temperature", -5, "degC"),
    ("\uff0d5 °C", "temperature", -5, "degC"),
    ('11" WC', "pressure_gauge", 11, "inch_water_column"),
    ('11" w.c.', "pressure_difference", 11, "inch_water_column"),
    ("11″ H₂O", "pressure_difference", 11, "inch_water_column"),
    ('11" of water', "pressure_difference", 11, "inch_water_column"),
    ("11 in H₂O", "pressure_difference", 11, "inch_water_column"),
    ("11 in. of water column", "pressure_difference", 11, "inch_water_column"),
    ("11 i.w.c.", "pressure_difference", 11, "inch_water_column"),
    ("280 mm w.c.", "pressure_difference", 280, "millimeter_water_column"),
    ("280 mmH₂O", "pressure_difference", 280, "millimeter_water_column"),
    ("12 psi gauge", "pressure_gauge", 12, "psi"),
    ("12 psi(g)", "pressure_gauge", 12, "psi"),
    ("360 psi abs.", "pressure_absolute", 360, "psi"),
    ("12 lbs/sq in", "pressure_gauge", 12, "psi"),
    ("12 pounds per square inch", "pressure_gauge", 12, "psi"),
    ('1-1/4"', "length", 1.25, "inch"),
    ("1-1/4 in", "length", 1.25, "inch"),
    ("1 1/4''", "length", 1.25, "inch"),
    ("1⁄4 in", "length", 0.25, "inch"),
    ("5'-2\"", "length", 62, "inch"),
    ("5 ft. 2 in.", "length", 62, "inch"),
    ("24 square inches", "area", 24, "inch**2"),
    ("24 sq. in.", "area", 24, "inch**2"),
    ("6 fluid ounces", "volume", 6, "fluid_ounce"),
    ("6 fl. oz.", "volume", 6, "fluid_ounce"),
    ("0 lb 8 oz", "mass", 8, "ounce"),
    ("1 lb. 4 oz.", "mass", 20, "ounce"),
    ("1 pound, 4 ounces", "mass", 20, "ounce"),
    ("44 cubic feet per minute", "volume_flow", 44, "foot**3/minute"),
    ("44 cu. ft. per min.", "volume_flow", 44, "foot**3/minute"),
    ("44 cu ft/min", "volume_flow", 44, "foot**3/minute"),
    ("75 cubic meters per hour", "volume_flow", 75, "meter**3/hour"),
    ("90 feet per minute", "speed", 90, "foot/minute"),
    ("5 A DC", "current", 5, "ampere"),
    ("2.7 amps AC", "current", 2.7, "ampere"),
    ("12.6 V DC", "voltage", 12.6, "volt"),
    ("120 volts AC", "voltage", 120, "volt"),
    ("44 R", "resistance", 44, "ohm"),
    ("44R", "resistance", 44, "ohm"),
    ("1.2 k", "resistance", 1.2, "kiloohm"),
    ("1 500 Btu/h", "power", 1500, "Btu/hour"),
    ("1 200 W", "power", 1200, "watt"),
    ("1\u202f200.5 W", "power", 1200.5, "watt"),
    ("1500 Btu per hour", "power", 1500, "Btu/hour"),
    ("1500 BTUs/hr.", "power", 1500, "Btu/hour"),
    ("2 h 30 m", "time", 2.5, "hour"),
    ("90 m", "time", 90, "minute"),
    ("2 hrs. 30 mins.", "time", 2.5, "hour"),
    ("3 degs", "angle", 3, "degree"),
    ("40 per cent", "fraction", 0.4, "dimensionless"),
    ("0.25 Btu/h·°F", "heat_conductance", 0.25, "Btu/hour/delta_degF"),
    ("0.25 Btu/hr-F", "heat_conductance", 0.25, "Btu/hour/delta_degF"),
    ("0.25 Btu/(h deg F)", "heat_conductance", 0.25, "Btu/hour/delta_degF"),
    ("0.25 Btu per hour per degree F", "heat_conductance", 0.25, "Btu/hour/delta_degF"),
    ("7964 inch ** 2 * percent", "area", 7964, "inch**2 * percent"),
    ("0.1 pounds per hour", "mass_flow", 0.1, "pound/hour"),
    ("1030/(1.03*59)", "number", 1030 / (1.03 * 59), "dimensionless"),
    ("1030/(1.03*59) Btu/h", "power", 1030 / (1.03 * 59), "Btu/hour"),
    ("2 × 3.5 in", "length", 7, "inch"),
    ("-(3 + 1.5) °C", "temperature", -4.5, "degC"),
    ("12.6/2 V", "voltage", 6.3, "volt"),
]


@pytest.mark.parametrize(("text", "kind", "value", "unit"), READ)
def test_the_trades_spellings(text, kind, value, unit):
    quantity = read_quantity(text, kind)
    expected = Q_(value, unit) if unit else Q_(value, "Btu/hour/delta_degF")
    assert quantity.to(expected.units).magnitude == pytest.approx(value, rel=1e-12)


def test_every_kind_reads_its_own_example_in_its_sentence():
    for kind in KINDS.values():
        assert read_quantity(kind.example, kind.name).dimensionality == ureg.Unit(kind.si).dimensionality


REFUSED = [
    ("", "temperature", "An empty text was read; write a temperature such as 20.5 °F."),
    (" \t\u00a0", "power", "An empty text was read; write a power such as 1500 Btu/h."),
    (
        "x" * 10_000,
        "temperature",
        "A text of 10000 characters was read; write a temperature such as 20.5 °F.",
    ),
    ("40", "temperature", "“40” was read, without a unit; write a temperature such as 20.5 °F."),
    (
        "38,5 F",
        "temperature",
        "“38,5 F” was read, with a comma in the number; write a decimal point, as in 38.5,",
    ),
    ("12,34 W", "power", "“12,34 W” was read, with a comma in the number"),
    ("1,200,00 W", "power", "with a comma in the number"),
    ("1 20 W", "power", "“1 20 W” was read, with a space, point or comma too many in the number"),
    ("1 200 300/4 W", "power", "with a space, point or comma too many in the number"),
    ("1.200.5 W", "power", "with a space, point or comma too many in the number"),
    ("nan", "temperature", "“nan” was read, with no number where one belongs; write a temperature such as"),
    ("nan degF", "temperature", "with no number where one belongs"),
    ("inf K", "temperature", "with no number where one belongs"),
    ("-inf K", "temperature", "with no number where one belongs"),
    ("warm", "temperature", "“warm” was read, with no number where one belongs"),
    ("10^400 K", "temperature", "“10^400 K” was read, and “^400 K” is no unit known here"),
    ("1e400 K", "temperature", "“1e400 K” was read, which is too large a number"),
    ("1e99999999999 K", "temperature", "which is too large a number"),
    ("9" * 150 + " K", "temperature", "which is too large a number"),
    ("9**9**9 W", "power", "“9**9**9 W” was read, which can't be worked out; write a power such as"),
    ("1/(2-2.0) W", "power", "which can't be worked out"),
    ("(" * 70 + "1" + ")" * 70 + " W", "power", "which can't be worked out"),
    ("1e30*10 W", "power", "is no unit known here"),
    ("999999999999999*999999999999999*99 W", "power", "which is too large a number"),
    ("38.5 F deg deg", "temperature", "is no unit known here"),
    ("6.5 F deg deg", "temperature_difference", "is no unit known here"),
    ("0.25 deg Btu/(h °F)", "heat_conductance", "is no unit known here"),
    ("90 m", "angle", "which is not an angle"),
    ("1 W**9**9**9", "power", "is no unit known here"),
    ("1 " + "(" * 100 + "W", "power", "is no unit known here"),
    ("1 __import__('os')", "power", "is no unit known here"),
    ("40 farads", "temperature", "“farads” is no unit known here; write a temperature such as 20.5 °F."),
    (
        "12 W",
        "energy",
        "“12 W” was read, which is not an amount of energy; write an amount of energy such as",
    ),
    ("3 °", "temperature", "which is not a temperature"),
    ("3 rad", "number", "which is not a number"),
    ("0.19", "angle", "without a unit"),
    ("8 oz", "volume", "“8 oz” was read, a weight; write a volume such as 6 fl oz."),
    (
        "6.5 delta_degF",
        "temperature",
        "was read, a temperature difference; write a temperature such as 20.5 °F.",
    ),
    ("6.5 °F difference", "temperature", "was read, a temperature difference"),
    ("12 psia", "pressure_gauge", "“12 psia” was read, an absolute pressure; write a gauge pressure such as"),
    (
        "12 psig",
        "pressure_absolute",
        "“12 psig” was read, a gauge pressure; write an absolute pressure such as",
    ),
    ("12 psia", "pressure_difference", "an absolute pressure; write a pressure difference such as"),
    ("-500 °F", "temperature", "which is below absolute zero"),
    ("-1 psia", "pressure_absolute", "which is below a vacuum"),
    ("1/0 in", "length", "which is no fraction"),
    ("1:30", "time", "“:30” is no unit known here; write a time such as 2h 30min."),
    ("2h -30min", "time", "is no unit known here"),
    ("5 W 3 W", "power", "is no unit known here"),
    ("2 h 3 W", "time", "which is not a time"),
    (
        "66",
        "fraction",
        "“66” was read, which is more than the whole and has no % behind it; write a share such as 40 %.",
    ),
    ("1.01", "fraction", "which is more than the whole and has no % behind it"),
    ("1e31 W", "power", "which is too large a number"),
    ("<b>3</b> W", "power", "with no number where one belongs"),
]


@pytest.mark.parametrize(("text", "kind", "said"), REFUSED)
def test_what_is_refused_says_what_was_read_and_what_would_be_right(text, kind, said):
    with pytest.raises(UnitError) as raised:
        read_quantity(text, kind)
    sentence = str(raised.value)
    assert said in sentence
    assert sentence.endswith(".")
    assert len(sentence) < 220
    assert "\n" not in sentence


@pytest.mark.parametrize("value", [38.5, None, ["38.5 F"], b"38.5 F"])
def test_what_is_no_text_is_refused(value):
    with pytest.raises(
        UnitError, match=r"was read where a text belongs; write a temperature such as 20.5 °F\."
    ):
        read_quantity(value, "temperature")


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("38.5F", "temperature", "38.5 °F, a temperature"),
        ("6.5 degF", "temperature_difference", "6.5 °F, a temperature difference"),
        ("12 psig", "pressure_gauge", "12 psig, a gauge pressure"),
        ("360 psia", "pressure_absolute", "360 psia, an absolute pressure"),
        ("11 inWC", "pressure_gauge", "11 in w.c., a gauge pressure"),
        ("1500 btu/hr", "power", "1,500 Btu/h, a power"),
        ("2h 30min", "time", "2.5 h, a time"),
        ("40 %", "fraction", "40 %, a share"),
        ("0.25 Btu/h/F", "heat_conductance", "0.25 Btu/(h °F), a heat conductance"),
    ],
)
def test_what_was_understood_is_said_back(text, kind, said):
    assert describe(read_quantity(text, kind), kind) == said


@pytest.mark.parametrize(
    ("value", "kind", "us", "si"),
    [
        (276.76, "temperature", "38.5 °F", "3.6 °C"),
        (3.611, "temperature_difference", "6.5 °F", "3.6 °C"),
        (2739.98, "pressure_difference", "11.0 in w.c.", "2,740 Pa"),
        (2739.98, "pressure_gauge", "11.0 in w.c.", "2.74 kPag"),
        (1.99 * 6894.757, "pressure_gauge", "55.1 in w.c.", "13.7 kPag"),
        (2.01 * 6894.757, "pressure_gauge", "2.01 psig", "13.9 kPag"),
        (2.01 * 6894.757, "pressure_difference", "55.6 in w.c.", "13,900 Pa"),
        (2.5e6, "pressure_absolute", "363 psia", "25.0 bara"),
        (0.0127, "length", "0.500 in", "12.7 mm"),
        (0.0208, "volume_flow", "44.1 cfm", "74.9 m³/h"),
        (439.6, "power", "1,500 Btu/h", "440 W"),
        (12345.0, "energy", "11.7 Btu", "12.3 kJ"),
        (9000.0, "time", "2.50 h", "2.50 h"),
        (3600.0, "time", "1.00 h", "1.00 h"),
        (3540.0, "time", "59.0 min", "59.0 min"),
        (90.0, "time", "1.50 min", "1.50 min"),
        (59.0, "time", "59.0 s", "59.0 s"),
        (0.4540, "mass", "1.00 lb", "0.454 kg"),
        (0.4530, "mass", "16.0 oz", "453 g"),
        (0.2, "mass", "7.05 oz", "200 g"),
        (0.0524, "angle", "3.0 deg", "3.0 deg"),
        (0.4, "fraction", "40.0 %", "40.0 %"),
        (0.0, "power", "0 Btu/h", "0 W"),
    ],
)
def test_show_in_both_systems(value, kind, us, si):
    quantity = from_si(value, kind)
    assert show(quantity, kind=kind) == us
    assert show(quantity, "SI", kind=kind) == si


def test_show_tells_the_kind_by_the_unit():
    assert show(Q_(38.5, "degF"), "SI") == "3.6 °C"
    assert show(Q_(6.5, "delta_degF"), "SI") == "3.6 °C"
    assert show(Q_(75, "meter**3/hour")) == "44.1 cfm"
    assert show(Q_(3, "degree")) == "3.0 deg"
    assert show(Q_(0.19, "dimensionless"), digits=1) == "0.2"
    with pytest.raises(UnitError, match="of no kind known here"):
        show(Q_(1, "candela"))


# NIST SP 811 (2008), appendix B.8, at its printed digits; read from memory, so compared at 1e-6.
@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("1 Btu", "energy", 1.05505585262e3),
        ("1 Btu/h", "power", 2.930711e-1),
        ("1 in w.c.", "pressure_difference", 2.490889e2),
        ("1 psi", "pressure_difference", 6.894757e3),
        ("1 inHg", "pressure_difference", 3.386389e3),
        ("1 cfm", "volume_flow", 4.719474e-4),
        ("1 mm w.c.", "pressure_difference", 9.80665),
        ("1 fl oz", "volume", 2.957353e-5),
        ("1 gal", "volume", 3.785412e-3),
        ("1 lb", "mass", 4.535924e-1),
        ("1 oz", "mass", 2.834952e-2),
        ("1 in", "length", 2.54e-2),
        ("1 ft2", "area", 9.290304e-2),
        ("1 ft/min", "speed", 5.08e-3),
        ("1 Btu/lb", "specific_energy", 2.326e3),
        ("1 Btu/(lb °F)", "specific_heat", 4.1868e3),
        ("1 kWh", "energy", 3.6e6),
        ("1 lb/ft3", "density", 1.601846e1),
        ("0 °F", "temperature", 255.372222),
        ("32 °F", "temperature", 273.15),
        ("212 °F", "temperature", 373.15),
        ("1 °F", "temperature_difference", 0.555555556),
    ],
)
def test_conversion_against_nist_sp_811(text, kind, si):
    assert to_si(read_quantity(text, kind), kind) == pytest.approx(si, rel=1e-6)


def test_factors_for_others_are_those_of_nist_sp_811():
    # The same table; 101,325 Pa is an atmosphere by definition.
    factors = {
        units.INCH: 2.54e-2,
        units.FOOT: 3.048e-1,
        units.CUBIC_FOOT_PER_MINUTE: 4.719474e-4,
        units.OUNCE: 2.834952e-2,
        units.POUND: 4.535924e-1,
        units.WATER_INCH: 2.490889e2,
        units.PSI: 6.894757e3,
        units.ATMOSPHERE: 1.01325e5,
        units.BTU: 1.055056e3,
        units.BTU_PER_HOUR: 2.930711e-1,
        units.ZERO_FAHRENHEIT: 255.372222,
    }
    assert list(factors) == pytest.approx(list(factors.values()), rel=1e-6)


def test_eleven_inches_of_water_column():
    # 2739.98 Pa with the conventional inch (NIST SP 811), 2737.24 Pa with water at 60 °F
    assert to_si(read_quantity("11 in w.c.", "pressure_gauge"), "pressure_gauge") == pytest.approx(
        2739.98, abs=0.01
    )


def test_offset_units_are_never_taken_for_differences():
    with pytest.raises(pint.OffsetUnitCalculusError):
        Q_(100, "Btu/hour/delta_degF") * Q_(10, "degF")
    product = read_quantity("100 Btu/(h °F)", "heat_conductance") * read_quantity(
        "10 °F", "temperature_difference"
    )
    assert product.to("Btu/hour").magnitude == pytest.approx(1000)


SPAN = {
    "temperature": (200.0, 800.0),
    "angle": (-1.5, 1.5),
    "fraction": (0.0, 1.0),
    "pressure_absolute": (0.0, 1e8),
}


@settings(max_examples=400, deadline=None)
@given(st.data())
def test_what_show_writes_is_read_back(data):
    kind = data.draw(st.sampled_from(sorted(KINDS)))
    system = data.draw(st.sampled_from(["US", "SI"]))
    low, high = SPAN.get(kind, (-1e9, 1e9))
    value = data.draw(st.floats(low, high, allow_subnormal=False).filter(lambda v: v == 0 or abs(v) > 1e-9))
    half_degree = 0.05 if system == "SI" else 0.05 / 1.8
    text = show(from_si(value, kind), system, kind=kind)
    back = to_si(read_quantity(text, kind), kind)
    # half a step of what is shown: 0.1 °F, 0.1 °C, 0.1°; else half of the third figure
    steps = {"temperature": half_degree, "temperature_difference": half_degree, "angle": math.radians(0.05)}
    if kind in steps:
        assert abs(back - value) <= steps[kind] * (1 + 1e-6)
    else:
        assert back == pytest.approx(value, rel=0.00501)


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(sorted(KINDS)), st.floats(1e-6, 1e6), st.booleans())
def test_what_pint_prints_is_read_back(kind, value, metric):
    unit = ureg.Unit(KINDS[kind].metric if metric else KINDS[kind].us)
    quantity = Q_(value, unit)
    back = read_quantity(f"{quantity.magnitude!r} {quantity.units}", kind)
    assert math.isclose(back.to(unit).magnitude, value, rel_tol=1e-12)


@settings(max_examples=1500, deadline=1000)
@given(
    st.one_of(
        st.text(max_size=300),
        st.from_regex(r"[-+0-9.,/ ]{1,9} ?[A-Za-z°%\"'²(/*^ )0-9.]{0,14}", fullmatch=True),
    ),
    st.sampled_from(sorted(KINDS)),
)
def test_any_text_is_a_quantity_or_one_sentence(text, kind):
    try:
        quantity = read_quantity(text, kind)
    except UnitError as refused:
        assert re.search(r"; write .* such as |; write a decimal point|; write it like ", str(refused))
    else:
        assert math.isfinite(to_si(quantity, kind))
        assert quantity.dimensionality == ureg.Unit(KINDS[kind].si).dimensionality
