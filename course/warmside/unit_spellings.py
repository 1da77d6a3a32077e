"""How the trade writes units: what is read, and what is shown. Values are units as pint names them."""

GAUGE, ABSOLUTE = "gauge", "absolute"

# Kinds of quantity: what code and what sentences call them; the unit of the physics core, then those in which
# they are shown, US and metric; an answer that would be right.
KIND_ROWS = (
    ("temperature", "a temperature", "kelvin", "degF", "degC", "20.5 °F"),
    ("temperature_difference", "a temperature difference", "kelvin", "delta_degF", "delta_degC", "6.5 °F"),
    ("pressure_gauge", "a gauge pressure", "pascal", "psi", "kilopascal", "12 psig"),
    ("pressure_absolute", "an absolute pressure", "pascal", "psi", "bar", "360 psia"),
    ("pressure_difference", "a pressure difference", "pascal", "inch_water_column", "pascal", "11 in w.c."),
    ("length", "a length", "meter", "inch", "millimeter", "1 1/4 in"),
    ("area", "an area", "meter**2", "inch**2", "centimeter**2", "24 in²"),
    ("volume", "a volume", "meter**3", "fluid_ounce", "milliliter", "6 fl oz"),
    ("volume_flow", "a volume flow", "meter**3/second", "foot**3/minute", "meter**3/hour", "44 cfm"),
    ("mass", "a mass", "kilogram", "pound", "kilogram", "8 oz"),
    ("mass_flow", "a mass flow", "kilogram/second", "pound/hour", "gram/second", "0.1 lb/h"),
    ("density", "a density", "kilogram/meter**3", "pound/foot**3", "kilogram/meter**3", "0.07 lb/ft³"),
    ("speed", "a speed", "meter/second", "foot/minute", "meter/second", "90 ft/min"),
    ("power", "a power", "watt", "Btu/hour", "watt", "1500 Btu/h"),
    ("energy", "an amount of energy", "joule", "Btu", "kilojoule", "12 Btu"),
    ("voltage", "a voltage", "volt", "volt", "volt", "120 V"),
    ("current", "a current", "ampere", "ampere", "ampere", "2.7 A"),
    ("resistance", "a resistance", "ohm", "ohm", "ohm", "44 ohm"),
    ("charge", "a charge", "ampere*second", "ampere*hour", "ampere*hour", "100 Ah"),
    ("angle", "an angle", "radian", "degree", "degree", "3 deg"),
    ("time", "a time", "second", "hour", "hour", "2h 30min"),
    ("fraction", "a share", "dimensionless", "percent", "percent", "40 %"),
    ("number", "a number", "dimensionless", "dimensionless", "dimensionless", "0.19"),
    (
        "heat_conductance",
        "a heat conductance",
        "watt/kelvin",
        "Btu/hour/delta_degF",
        "watt/kelvin",
        "0.25 Btu/(h °F)",
    ),
    ("heat_capacity", "a heat capacity", "joule/kelvin", "Btu/delta_degF", "kilojoule/kelvin", "0.5 Btu/°F"),
    (
        "specific_heat",
        "a specific heat",
        "joule/kilogram/kelvin",
        "Btu/pound/delta_degF",
        "kilojoule/kilogram/kelvin",
        "1 Btu/(lb °F)",
    ),
    (
        "specific_energy",
        "an energy for each unit of mass",
        "joule/kilogram",
        "Btu/pound",
        "kilojoule/kilogram",
        "21500 Btu/lb",
    ),
)

# What code takes for unit factors: that much of which unit, as pint names it.
FACTORS: dict[str, tuple[float, str]] = {
    "INCH": (1.0, "inch"),
    "FOOT": (1.0, "foot"),
    "CUBIC_FOOT_PER_MINUTE": (1.0, "foot**3/minute"),
    "OUNCE": (1.0, "ounce"),
    "POUND": (1.0, "pound"),
    "WATER_INCH": (1.0, "inch_water_column"),
    "PSI": (1.0, "psi"),
    "ATMOSPHERE": (1.0, "atmosphere"),
    "BTU": (1.0, "Btu"),
    "BTU_PER_HOUR": (1.0, "Btu/hour"),
    "ZERO_FAHRENHEIT": (0.0, "degF"),
    "ZERO_CELSIUS": (0.0, "degC"),
}

# Signs that nobody sees: a zero-width space and its like.
LEFT_OUT = "\u00ad\u200b\u200c\u200d\u2060\ufeff"
# Signs that mean the same, one for another.
MEANT: dict[str, str] = {
    **dict.fromkeys("−–\u2010\u2011\u2012\ufe63\uff0d", "-"),
    **dict.fromkeys("″”“", '"'),
    **dict.fromkeys("′’‘", "'"),
    **{"''": '"', "×": "*", "÷": "/", "⁄": "/"},
    **{"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8"},
    **{"²": "2", "³": "3", "₂": "2", "₃": "3", "º": "°", "℉": "°F", "℃": "°C", "Δ": "delta_"},
}

# The trade's spellings, in lower case without spaces, dots and degree signs.
SPELLINGS: dict[str, str] = {
    spelling: unit
    for unit, spellings in {
        "degF": "f degf degsf fahrenheit degreef degreesf degreefahrenheit degreesfahrenheit "
        "degree_fahrenheit fdeg fdegs fdegree fdegrees fahrenheitdegree fahrenheitdegrees degfahrenheit",
        "degC": "c degc degsc celsius degreec degreesc degreecelsius degreescelsius "
        "degree_celsius centigrade cdeg cdegs cdegree cdegrees celsiusdegree celsiusdegrees degcelsius",
        "kelvin": "k kelvin kelvins",
        "degR": "degr rankine degree_rankine",
        "delta_degF": "delta_degree_fahrenheit delta_degf delta_f",
        "delta_degC": "delta_degree_celsius delta_degc delta_c",
        "inch_water_column": "inwc inh2o inwatercolumn incheswatercolumn inchwatercolumn inw inwg "
        "inchesh2o inchh2o incheswc inchwc inch_water_column inch_h2o_39f incheswater inwater inchesofwater "
        'inofwater inofwatercolumn inchofwater inchesofwatercolumn incheswg inchwg iwc inaq "wc "h2o "wg "w '
        '"water "watercolumn "ofwater "ofwatercolumn',
        "millimeter_water_column": "mmwc mmh2o mmws mmwg mmwatercolumn mmofwater millimeter_water_column",
        "inch_Hg": "inhg inchhg incheshg inch_hg",
        "psi": "psi lbf/in2 lb/in2 lbs/in2 lb/sqin lbs/sqin poundspersquareinch poundpersquareinch "
        "pound_force_per_square_inch",
        "pascal": "pa pascal pascals",
        "kilopascal": "kpa kilopascal kilopascals",
        "megapascal": "mpa",
        "bar": "bar bars",
        "millibar": "mbar millibar",
        "atmosphere": "atm standard_atmosphere",
        "millimeter_Hg": "mmhg millimeter_hg torr",
        "inch": 'in inch inches "',
        "foot": "ft foot feet '",
        "yard": "yd yard yards",
        "millimeter": "mm millimeter millimeters millimetre millimetres",
        "centimeter": "cm centimeter centimeters centimetre centimetres",
        "meter": "m meter meters metre metres",
        "inch**2": "in2 sqin squareinch squareinches inch**2 in**2 in^2",
        "foot**2": "ft2 sqft squarefoot squarefeet foot**2 ft**2 ft^2",
        "centimeter**2": "cm2 sqcm cm**2 cm^2",
        "millimeter**2": "mm2 sqmm mm**2 mm^2",
        "meter**2": "m2 sqm m**2 m^2",
        "fluid_ounce": "floz fluidounce fluidounces fluid_ounce us_fluid_ounce",
        "cup": "cup cups",
        "pint": "pt pint pints",
        "quart": "qt quart quarts",
        "gallon": "gal gallon gallons",
        "milliliter": "ml milliliter milliliters millilitre millilitres cc",
        "liter": "l liter liters litre litres",
        "foot**3": "ft3 cuft cubicfoot cubicfeet foot**3 ft**3 ft^3",
        "inch**3": "in3 cuin cubicinch cubicinches in**3 in^3",
        "meter**3": "m3 m**3 m^3 cum cubicmeter cubicmeters cubicmetre cubicmetres",
        "foot**3/minute": "cfm ft3/min cuft/min cubicfeetperminute cubicfootperminute",
        "foot**3/hour": "cfh ft3/h cuft/h",
        "meter**3/hour": "m3/h m3/hr cmh",
        "meter**3/second": "m3/s",
        "liter/second": "l/s",
        "foot/minute": "fpm ft/min",
        "ounce": "oz ozs ounce ounces",
        "pound": "lb lbs pound pounds lbm #",
        "gram": "g gram grams",
        "kilogram": "kg kilogram kilograms",
        "Btu": "btu btus british_thermal_unit britishthermalunit britishthermalunits "
        "international_british_thermal_unit",
        "Btu/hour": "btuh btusperhour btuperhr btu/h btu/hr btuperhour btu/hour",
        "Btu/hour/delta_degF": "btu/h·f btu/hr·f btu/hf btu/hrf btu/h*f btu/hr*f",
        "Btu/pound/delta_degF": "btu/lb·f btu/lbf btu/lb*f",
        "joule": "j joule joules",
        "kilojoule": "kj kilojoule kilojoules",
        "megajoule": "mj",
        "watt*hour": "watt_hour wh watthour watthours",
        "kilowatt*hour": "kilowatt_hour kwh kilowatthour kilowatthours",
        "calorie": "cal calorie calories",
        "kilocalorie": "kcal kilocalorie kilocalories",
        "watt": "w watt watts",
        "kilowatt": "kw kilowatt kilowatts",
        "horsepower": "hp horsepower",
        "volt": "v volt volts vac vdc voltac voltdc voltsac voltsdc acv dcv",
        "millivolt": "mv millivolt millivolts",
        "kilovolt": "kv",
        "ampere": "a amp amps ampere amperes aac adc ampac ampdc ampsac ampsdc amperesac amperesdc",
        "milliampere": "ma milliamp milliamps",
        "ohm": "ohm ohms ω",
        "kiloohm": "kohm kohms kilohm kilohms kω",
        "milliohm": "mohm mω",
        "ampere*hour": "ampere_hour ah amphour amphours amperehour amperehours",
        "degree": "deg degs degree degrees °",
        "radian": "rad radian radians",
        "second": "s sec secs second seconds",
        "minute": "min mins minute minutes",
        "hour": "h hr hrs hour hours",
        "day": "d day days",
        "percent": "% percent pct pc",
        "dimensionless": "dimensionless",
    }.items()
    for spelling in spellings.split()
}
# Read with regard to upper and lower case, before the table above.
CASED = {"MW": "megawatt", "mW": "milliwatt", "MPa": "megapascal", "mPa": "millipascal", "MΩ": "megaohm"}
# What one kind alone means by a spelling.
OF_KIND = {"time": {"m": "minute"}, "resistance": {"r": "ohm", "k": "kiloohm"}}
# What stands for itself, and in no unit made of several.
BARE = {"degree", "radian", "dimensionless"}
MARKED = {
    **{
        f"{unit}{g}": (unit, GAUGE)
        for unit in ("psi", "bar", "kpa", "pa")
        for g in ("g", "(g)", "gauge", "gage")
    },
    **{
        f"{unit}{a}": (unit, ABSOLUTE)
        for unit in ("psi", "bar", "kpa")
        for a in ("a", "(a)", "abs", "absolute")
    },
}

# What people read behind a number.
LABELS: dict[str, str] = {
    "degF": "°F",
    "degC": "°C",
    "kelvin": "K",
    "delta_degF": "°F",
    "delta_degC": "°C",
    "inch_water_column": "in w.c.",
    "inch_Hg": "inHg",
    "inch": "in",
    "foot": "ft",
    "inch**2": "in²",
    "foot**2": "ft²",
    "centimeter**2": "cm²",
    "meter**2": "m²",
    "fluid_ounce": "fl oz",
    "milliliter": "mL",
    "liter": "L",
    "foot**3/minute": "cfm",
    "meter**3/hour": "m³/h",
    "meter**3/second": "m³/s",
    "pound": "lb",
    "pound/hour": "lb/h",
    "pound/foot**3": "lb/ft³",
    "kilogram/meter**3": "kg/m³",
    "foot/minute": "ft/min",
    "Btu": "Btu",
    "Btu/hour": "Btu/h",
    "ohm": "ohm",
    "ampere*hour": "Ah",
    "degree": "deg",
    "hour": "h",
    "minute": "min",
    "second": "s",
    "percent": "%",
    "Btu/hour/delta_degF": "Btu/(h °F)",
    "Btu/delta_degF": "Btu/°F",
    "Btu/pound/delta_degF": "Btu/(lb °F)",
    "Btu/pound": "Btu/lb",
    "kilojoule/kilogram/kelvin": "kJ/(kg K)",
    "kilowatt*hour": "kWh",
    "dimensionless": "",
}
