"""A lab with a scene: what was before, predictions, tasks, and what takes long."""

from warmside.show.enclosure import Enclosure, situation
from warmside.show.enclosure_lab import enclosure_lab
from warmside.show.enclosure_scene import enclosure_scene, scene_costs


def test_what_was_before_a_change_is_kept_by_itself():
    lab = enclosure_lab()
    lab.ask({"situation": "Too deep", "begins": True})
    assert (lab.settings, lab.before) == (situation("Too deep"), Enclosure())
    assert lab.answer["picture"] == enclosure_scene(situation("Too deep"))
    assert lab.answer["before"]["picture"] == enclosure_scene(Enclosure())
    lab.ask({"name": "fan", "value": 1, "system": "US", "begins": True})
    lab.ask({"name": "fan", "value": 2, "system": "US", "begins": False})  # the same hand goes on
    assert lab.before == situation("Too deep")
    lab.ask({"system": "SI"})
    assert lab.answer["before"]["picture"] == enclosure_scene(situation("Too deep"), "SI")
    lab.ask({"line": "Fan: tired", "begins": True})
    assert lab.before == situation("Too deep")
    lab.ask({"reset": True})
    assert (lab.settings, lab.before, lab.answer["before"]) == (Enclosure(), None, None)


def test_a_prediction_is_answered_once():
    lab = enclosure_lab()
    lab.ask({"judge": 0})
    assert lab.answer["verdict"] == ""  # nothing was changed
    lab.ask({"name": "lower_blocked", "value": 50, "system": "US", "begins": True})
    for said in (7, "0", None, []):
        lab.ask({"judge": said})
        assert lab.answer["verdict"] == ""
    lab.ask({"judge": 0})
    assert lab.answer["verdict"].startswith("✔ Right")
    lab.ask({"system": "US"})
    assert lab.answer["verdict"] == ""


def test_a_task_stays_done_and_its_answer_follows_the_units():
    lab = enclosure_lab()
    lab.ask({"name": "fan", "value": 1, "system": "US"})
    lab.ask({"details": True, "held": True})
    assert not any(task["says"] for task in lab.answer["tasks"])  # a hand only passes
    lab.ask({"details": True, "held": False})
    assert [bool(task["says"]) for task in lab.answer["tasks"]] == [place == 2 for place in range(8)]
    lab.ask({"reset": True})
    lab.ask({"system": "SI"})
    lab.ask({"details": True})
    assert "m³/h rise by themselves" in lab.answer["tasks"][2]["says"]
    assert lab.answer["tasks"][0]["says"] == ""


def test_what_takes_long_comes_by_itself_and_changes_nothing():
    lab, shut = enclosure_lab(), situation("Blocked lower vent")
    lab.ask({"situation": "Blocked lower vent"})
    lab.ask({"details": "costs"})
    assert (lab.answer["shows"], lab.answer["costs"]) == ("costs", scene_costs(shut))
    assert (lab.answer["set_all"], lab.settings) == (False, shut)
