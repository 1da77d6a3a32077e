"""Packs: what is in one, and what is not."""

import json
import zipfile

from helpers import NAME

from warmside.marking.exercise import Job
from warmside.session.hand_out import hand_out
from warmside.units import from_si


def members(path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_one_pack_per_trainee_with_their_own_card(session, exercise):
    packs = hand_out(session)
    assert [path.name for path in packs] == ["ann.zip", "ann-b.zip", "zed.9.zip"]
    numbers = set()
    for path, trainee in zip(packs, session.trainees(), strict=True):
        files = members(path)
        folder = f"{trainee.id}_{NAME}"
        assert set(files) == {
            f"{folder}/{name}"
            for name in (f"{NAME}.ipynb", "job_card.json", "temperature_log.csv", "how_to.html")
        }
        card = json.loads(files[f"{folder}/job_card.json"])
        assert card["trainee"] == trainee.id
        numbers.add(card["number"])
        expected = exercise.job_card(session.secret, trainee.id).as_files()
        assert files[f"{folder}/temperature_log.csv"].decode() == expected["temperature_log.csv"]
    assert len(numbers) == 3


def test_packs_hold_no_key_no_secret_and_nobody_else(session, exercise):
    for path, trainee in zip(hand_out(session), session.trainees(), strict=True):
        text = "\n".join(content.decode() for content in members(path).values())
        assert session.secret.hex() not in text
        assert "SOLUTION" not in text
        for other in session.trainees():
            if other != trainee:
                assert f'"{other.id}"' not in text
                assert not other.email or other.email not in text
        job = Job(exercise, exercise.job_card(session.secret, trainee.id))
        for name in ("heat_from_water", "cup_time_constant", "hours_to_settle", "cup_at_early_reading"):
            item = exercise.item(name)
            key = from_si(item.key(job), item.kind)
            assert f"{key.magnitude:.2f}" not in text


def test_handing_out_again_gives_the_same_bytes(session):
    first = [path.read_bytes() for path in hand_out(session)]
    assert [path.read_bytes() for path in hand_out(session)] == first


def test_the_page_names_trainee_due_date_and_cautions(session):
    page = members(hand_out(session)[2])[f"zed.9_{NAME}/how_to.html"].decode()
    assert "<b><bdi>Zed =1+1</bdi></b> (zed.9)" in page
    assert "licensed people" in page
    assert "warmside open ." in page
