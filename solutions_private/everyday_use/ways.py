"""The way to each right answer of “Everyday use”, with a card's numbers. Never released."""

from warmside.marking.exercise import Job
from warmside.marking.ways import Given, Way, figures, on_card, us

from .care import SAYS as LOG_SAYS
from .care import SHUT, next_stop, yearly_work
from .load import SAYS as RULE_SAYS
from .load import rule
from .log import GOES, column, log_verdict, which_goes
from .plan import LASTS, LATER, plan_lasts

_WHO = {
    "a": "It touches nothing that hurts, so the owner may do it.",
    "b": "It means reaching behind, all off and cold: a trained technician.",
    "c": "It touches mains: a licensed electrician or an appliance technician.",
    "d": "It touches gas or burner: a qualified gas technician.",
}


def drop(job: Job) -> float:
    return us(job, "load_temperature") - us(job, "setting")


def heat(job: Job) -> float:
    return us(job, "load") * us(job, "food_heat") * drop(job)


def minutes(job: Job) -> float:
    return 60.0 * us(job, "door_heat") / us(job, "spare")


def load_heat(job: Job, given: Given) -> tuple[str, ...]:
    return (
        f"The load cools from {on_card(job, 'load_temperature')} to {on_card(job, 'setting')}, by "
        f"{figures(drop(job))} °F.",
        f"{on_card(job, 'load')} × {on_card(job, 'food_heat')} × {figures(drop(job))} °F = "
        f"{figures(heat(job))} Btu",
    )


def load_hours(job: Job, given: Given) -> tuple[str, ...]:
    found = heat(job) / us(job, "spare")
    return (f"{figures(heat(job))} Btu over {on_card(job, 'spare')} = {figures(found)} h",)


def recovery(job: Job, given: Given) -> tuple[str, ...]:
    return (f"60 min × {on_card(job, 'door_heat')} / {on_card(job, 'spare')} = {figures(minutes(job))} min",)


def judged_rule(job: Job, given: Given) -> tuple[str, ...]:
    ratio = minutes(job) * 60.0 / (us(job, "open_time") * 3600.0)
    return (
        f"{figures(minutes(job))} min for {on_card(job, 'open_time')} are {figures(ratio)} minutes a second.",
        RULE_SAYS[rule(job)],
    )


def latest_power_up(job: Job, given: Given) -> tuple[str, ...]:
    begins = us(job, "cooking_from") - us(job, "defrost_takes")
    back = begins - us(job, "first_defrost")
    return (
        f"It must be over at {on_card(job, 'cooking_from')}, so it begins at {begins:g} h at the latest. "
        f"Less {on_card(job, 'first_defrost')} that is {back:g} h.",
        f"With 24 h added as often as it takes: {back % 24:g} h",
    )


def lasts(job: Job, given: Given) -> tuple[str, ...]:
    between = us(job, "between_defrosts")
    letter = plan_lasts(job)
    if letter == LASTS:
        return (f"{between:g} h are whole days, so each comes at the same clock.",)
    way, by = ("later", between % 24) if letter == LATER else ("earlier", -between % 24)
    return (f"{between:g} h are no whole days: each comes {by:g} h {way} by the clock than the one before.",)


def sensor_error(job: Job, given: Given) -> tuple[str, ...]:
    sensor, air = (float(column(job, name)[-1]) for name in ("sensor_F", "air_F"))
    return (
        f"At hour 24 the sensor says {sensor:.1f} °F and the logger {air:.1f} °F.",
        f"{sensor:.1f} °F - {air:.1f} °F = {sensor - air:.1f} °F",
    )


def hours_above(job: Job, given: Given) -> tuple[str, ...]:
    count = int((column(job, "milk_F") > 40.0).sum())
    return (f"{count} readings of the milk lie above 40 °F. {count} × 0.5 h = {count / 2:g} h",)


def judged_log(job: Job, given: Given) -> tuple[str, ...]:
    (error,) = sensor_error(job, given)[1:]
    rests = f"In the last six hours it ran {int(column(job, 'run_min')[-12:].sum())} of 360 minutes."
    return (f"Sensor less logger at the end: {error}. {rests}", f"So {LOG_SAYS[log_verdict(job)]}.")


def judged_food(job: Job, given: Given) -> tuple[str, ...]:
    return (
        *hours_above(job, given),
        f"The shopping stood for {on_card(job, 'car_time')} at {on_card(job, 'car_temperature')}. Two hours "
        "hold, and one where it was above 90 °F.",
        GOES[which_goes(job)],
    )


def judged_stop(job: Job, given: Given) -> tuple[str, ...]:
    letter = next_stop(job)
    if letter == SHUT:
        return (
            f"Next stop: {on_card(job, 'next_stop')}. No flame, no spark there: off, cylinder shut, before.",
        )
    if letter == "b":
        return (f"Next stop: {on_card(job, 'next_stop')}. It won't stand level at rest: off until it does.",)
    return (f"Next stop: {on_card(job, 'next_stop')}. Level, and no flame forbidden: it may run.",)


def judged_work(job: Job, given: Given) -> tuple[str, ...]:
    return (f"Yearly work: {on_card(job, 'work')}. {_WHO[yearly_work(job)]}",)


WAYS: dict[str, Way] = {
    "load_heat": load_heat,
    "load_hours": load_hours,
    "recovery": recovery,
    "rule": judged_rule,
    "latest_power_up": latest_power_up,
    "plan_lasts": lasts,
    "sensor_error": sensor_error,
    "hours_above": hours_above,
    "log_verdict": judged_log,
    "which_goes": judged_food,
    "next_stop": judged_stop,
    "yearly_work": judged_work,
}
