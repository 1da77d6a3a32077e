"""The course's pages on a real server: who gets in, what they show, what stays, and what is refused."""

import json
import os
import re
import shutil
import signal
import stat
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import quote, urlsplit

import nbformat
import psutil
import pytest
import requests
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook
from websocket import WebSocketBadStatusException, create_connection

from warmside import project
from warmside.session.lab import PRACTICE_FOLDER
from warmside.session.reading.desk import check_names
from warmside.session.reading.rendering import as_html
from warmside.show.self_check import self_check

TEXT = """# A small lesson

*It is small. What does it show?*

**It takes** about 5 minutes.

## A sum

Next: do the exercise `venting`, and see `02_broken.ipynb`."""
LAB = "from warmside.show.meter_lab import heater_meter_lab\n\nheater_meter_lab()"
SMALL, BROKEN = "04_small.ipynb", "02_broken.ipynb"


def _write_course(folder: Path) -> None:
    course = folder / "course"
    course.mkdir(parents=True)
    (folder / "solutions_private").mkdir()
    shutil.copytree(project.root() / "exercises" / "venting", folder / "exercises" / "venting")
    small = [new_markdown_cell(TEXT), new_code_cell("print(6 * 7)"), new_code_cell(LAB)]
    nbformat.write(new_notebook(cells=small), course / SMALL)
    broken = [new_markdown_cell("# A broken one"), new_code_cell("1 / 0")]
    nbformat.write(new_notebook(cells=broken), course / BROKEN)


@contextmanager
def _opened(folder: Path) -> Iterator[SimpleNamespace]:
    """Run `warmside open` on a small course, everything that a user has in a folder of its own."""
    home, log = folder / "home", folder / "log"
    home.mkdir(exist_ok=True)
    own = {"HOME": home, "XDG_CACHE_HOME": folder / "cache", "XDG_DATA_HOME": folder / "data"}
    environment = os.environ | {name: str(path) for name, path in own.items()}
    environment |= {"WARMSIDE_ROOT": str(folder / "project")}
    command = [Path(sys.executable).with_name("warmside"), "open", "--no-browser"]
    with log.open("wb") as output:
        process = subprocess.Popen(command, stdout=output, stderr=output, env=environment)
    try:
        address = _address(process, log)
        yield SimpleNamespace(folder=folder, home=home, process=process, **_visitor(address))
    finally:
        process.terminate()
        assert process.wait(timeout=60) == 0, log.read_text("utf-8")


def _address(process: subprocess.Popen, log: Path) -> str:
    for _ in range(600):
        if found := re.search(r"http://127\.0\.0\.1:\d+/\S*token=\w+", log.read_text("utf-8")):
            return found[0]
        assert process.poll() is None, log.read_text("utf-8")
        time.sleep(0.1)
    raise AssertionError(log.read_text("utf-8"))


def _visitor(address: str) -> dict[str, object]:
    """Return a browser that came by the address with the token, and one that didn't."""
    place = urlsplit(address)
    base = f"{place.scheme}://{place.netloc}/warmside/"
    visitor, stranger = requests.Session(), requests.Session()
    for _ in range(50):
        try:
            visitor.get(address, timeout=60)
            break
        except requests.ConnectionError:  # it prints its address a little before it listens
            time.sleep(0.1)
    return {"base": base, "visitor": visitor, "stranger": stranger}


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SimpleNamespace]:
    folder = tmp_path_factory.mktemp("pages")
    _write_course(folder / "project")
    with _opened(folder) as opened:
        yield opened


def tell(pages: SimpleNamespace, path: str, body: object, **headers: str) -> requests.Response:
    token = pages.visitor.cookies.get("_xsrf")
    data = body if isinstance(body, str | bytes) else json.dumps(body)
    return pages.visitor.post(pages.base + path, data=data, headers={"X-XSRFToken": token} | headers)


def page_of(pages: SimpleNamespace, lesson: str) -> str:
    """Return a lesson's page; wait until it is ready or failed."""
    shown = pages.visitor.get(pages.base + lesson).text
    for _ in range(600):
        state = pages.visitor.get(f"{pages.base}state/{lesson}").json()
        if state["ready"] or state["failed"]:
            return pages.visitor.get(pages.base + lesson).text
        assert "being made ready" in shown
        time.sleep(0.1)
    raise AssertionError(state)


def lab_of(pages: SimpleNamespace, name: str = "heater_meter_lab", **headers: str):
    cookies = "; ".join(f"{each.name}={each.value}" for each in pages.visitor.cookies)
    address = pages.base.replace("http", "ws", 1) + f"lab/{name}"
    return create_connection(address, timeout=60, **{"cookie": cookies} | headers)


def lab_processes(pages: SimpleNamespace) -> list[psutil.Process]:
    """The processes of labs: children of the one that they are forked from."""
    below = psutil.Process(pages.process.pid).children(recursive=True)
    live = [one for one in below if one.status() != psutil.STATUS_ZOMBIE]
    forking = [one for one in live if any("warm_labs" in word for word in one.cmdline())]
    return sorted(forking, key=psutil.Process.create_time)[1:]


def eventually(holds: Callable[[], bool]) -> bool:
    for _ in range(100):
        if holds():
            return True
        time.sleep(0.1)
    return False


# --- who gets in ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", ["", SMALL, f"mine/{SMALL}", "course.css", "kept", f"state/{SMALL}"])
def test_who_has_no_token_gets_the_login_page(pages, path):
    answer = pages.stranger.get(pages.base + path)
    assert urlsplit(answer.url).path == "/login"
    assert "lesson" not in answer.text


def test_who_has_no_token_can_tell_nothing_and_open_no_lab(pages):
    pages.stranger.get(pages.base)  # the login page gives everybody a token against requests from elsewhere
    headers = {"X-XSRFToken": pages.stranger.cookies["_xsrf"]}
    for path in ("kept", f"back/{SMALL}"):
        told = pages.stranger.post(
            pages.base + path, data='{"way": "owner"}', headers=headers, allow_redirects=False
        )
        assert told.status_code in (302, 403)
    assert pages.visitor.get(pages.base + "kept").json()["way"] == "apprentice"
    address = pages.base.replace("http", "ws", 1)
    with pytest.raises(WebSocketBadStatusException, match="403"):
        create_connection(f"{address}lab/heater_meter_lab", timeout=60)


def test_a_page_from_elsewhere_opens_no_lab(pages):
    with pytest.raises(WebSocketBadStatusException, match="403"):
        lab_of(pages, origin="http://elsewhere.example")


def test_what_is_told_without_the_pages_own_token_is_refused(pages):
    assert pages.visitor.post(pages.base + "kept", data='{"way": "owner"}').status_code == 403
    assert pages.visitor.post(f"{pages.base}back/venting", data="{}").status_code == 403
    assert pages.visitor.get(pages.base + "kept").json()["way"] == "apprentice"


# --- what is shown ----------------------------------------------------------------------------------------


def test_the_map_says_what_each_lesson_asks_and_takes(pages):
    shown = " ".join(pages.visitor.get(pages.base).text.split())
    assert shown.index("02 A broken one") < shown.index("04 A small lesson")
    for words in ("What does it show?", "5 min", "0 of ", "Exercise <b>not begun</b>"):
        assert words in shown
    assert re.search(r"https?://(?!www\.w3\.org)", shown) is None  # nothing from the network


def test_a_lesson_comes_with_its_outputs_its_code_folded_and_a_place_for_its_lab(pages):
    shown = page_of(pages, SMALL)
    assert "<pre>42\n</pre>" in shown
    assert re.search(r"<details class=\"code\"><summary>The code</summary>.*heater_meter_lab", shown, re.S)
    assert 'data-lab="heater_meter_lab"' in shown
    assert '<a href="mine/venting" target="_blank">' in shown
    assert f'<a href="{BROKEN}">' in shown
    (kept,) = (pages.folder / "cache" / "warmside" / "lessons").glob("04_small-*.html")
    kept.write_text("kept", encoding="utf-8")
    assert "kept" in pages.visitor.get(pages.base + SMALL).text  # nothing is run again
    kept.unlink()


def test_a_lesson_that_cant_be_run_says_so_and_leads_to_the_notebook(pages):
    shown = page_of(pages, BROKEN)
    assert "This page couldn't be made here" in shown
    assert f'href="/warmside/mine/{BROKEN}"' in shown
    assert "Traceback" not in shown


def test_a_lab_answers_over_its_socket_and_its_process_ends_with_the_page(pages):
    lab = lab_of(pages)
    first = json.loads(lab.recv())
    assert "render" in first["script"]
    assert first["page"]["controls"]
    (process,) = lab_processes(pages)
    others = lab_of(pages)
    others.recv()
    lab.send(json.dumps({"system": "SI", "serial": ["here", 1]}))
    answer = json.loads(lab.recv())["answer"]
    assert (answer["system"], answer["serial"]) == ("SI", ["here", 1])
    others.send(json.dumps({"details": True, "serial": ["there", 1]}))
    assert json.loads(others.recv())["answer"]["system"] == "US"
    assert len(lab_processes(pages)) == 2
    lab.close()
    assert eventually(lambda: not process.is_running() or process.status() == psutil.STATUS_ZOMBIE)
    others.close()
    assert eventually(lambda: not lab_processes(pages))


@pytest.mark.parametrize(
    "question", ["no JSON", "[1]", '{"ahead": 5}', '{"name": "__class__", "value": 1}', "{}"]
)
def test_a_lab_answers_what_no_page_of_ours_would_ask(pages, question):
    lab = lab_of(pages)
    lab.recv()
    lab.send(question)
    assert set(json.loads(lab.recv())) & {"answer", "message"}
    lab.send(json.dumps({"reset": True, "serial": ["here", 2]}))
    assert json.loads(lab.recv())["answer"]["serial"] == ["here", 2]
    lab.close()


@pytest.mark.parametrize("name", ["enclosure_lab", "system", "os"])
def test_a_lab_that_no_lesson_calls_isnt_there(pages, name):
    with pytest.raises(WebSocketBadStatusException, match="404"):
        lab_of(pages, name)


# --- what stays, what is refused --------------------------------------------------------------------------

HOSTILE = [
    "../project/course/04_small.ipynb",
    "/etc/passwd",
    "nothing.ipynb",
    ".",
    "lessons",
    "%s%n",
    "a\0b",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_that_leads_elsewhere_is_refused_in_a_sentence(pages, name):
    before = sorted(pages.folder.rglob("*.ipynb"))
    asked = quote(name, safe="")
    for path in (f"{asked}.ipynb", f"mine/{asked}", f"state/{asked}.ipynb"):
        answer = pages.visitor.get(pages.base + path)
        assert answer.status_code == 404
        assert "Traceback" not in answer.text
    answer = tell(pages, f"back/{asked}", {})
    assert answer.status_code in (400, 404)
    assert sorted(pages.folder.rglob("*.ipynb")) == before


def test_what_was_answered_stays_in_a_file_of_the_users_own(pages):
    assert tell(pages, "kept", {"place": [SMALL, "A-sum"]}).status_code == 200
    assert tell(pages, "kept", {"way": "owner"}).status_code == 200
    file = pages.folder / "data" / "warmside" / "reader.json"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert [path.name for path in file.parent.iterdir()] == ["reader.json"]
    shown = pages.visitor.get(pages.base).text
    assert f'href="{SMALL}#A-sum"' in shown
    assert "Practice card" in shown
    file.write_text('{"checks": [1], "place": {"a": 1}, "way": 3', encoding="utf-8")  # damaged
    assert "Begin here" in pages.visitor.get(pages.base).text
    tell(pages, "kept", {"way": "apprentice"})


def test_answered_checks_are_counted_on_the_map(pages):
    first, *_ = names = check_names("04")
    assert f"0 of {len(names)} answered" in pages.visitor.get(pages.base).text
    assert tell(pages, "kept", {"check": first, "choice": names[first][-1]}).status_code == 200
    assert pages.visitor.get(pages.base + "kept").json()["checks"] == {first: names[first][-1]}
    assert f"1 of {len(names)} answered" in pages.visitor.get(pages.base).text
    refused = tell(pages, "kept", {"check": first, "choice": 99})
    assert (refused.status_code, refused.json()["problem"].count(first)) == (400, 1)
    for name in names:
        tell(pages, "kept", {"check": name, "choice": names[name][0]})
    assert '<div class="s">done</div>' in pages.visitor.get(pages.base).text


@pytest.mark.parametrize(
    "body",
    [
        "no JSON",
        b"\xff\xfe",
        "[" * 9000,
        "x" * 100_000,
        [],
        {},
        {"check": "04.99", "choice": 0},
        {"check": "../../etc", "choice": 0},
        {"check": ["04"], "choice": 0},
        {"place": ["../x.ipynb", ""]},
        {"place": [SMALL, 'a" onload=x']},
        {"way": "thief"},
        {"way": "owner", "place": [SMALL, ""]},
    ],
)
def test_what_cant_be_kept_is_refused_in_a_sentence(pages, body):
    before = pages.visitor.get(pages.base + "kept").json()
    answer = tell(pages, "kept", body)
    assert answer.status_code == 400
    problem = answer.json()["problem"]
    assert problem.endswith(".") and "\n" not in problem and len(problem) < 200
    assert pages.visitor.get(pages.base + "kept").json() == before


@pytest.mark.parametrize(("name", "at"), [("venting", "venting/venting.ipynb"), (SMALL, f"lessons/{SMALL}")])
def test_a_copy_may_be_spoilt_and_is_put_back_and_the_old_one_stays_beside(pages, name, at):
    original = next((pages.folder / "project").rglob(Path(at).name))
    as_it_was = original.read_bytes()
    answer = pages.visitor.get(f"{pages.base}mine/{name}", allow_redirects=False)
    assert answer.headers["Location"] == f"/lab/tree/{at}"
    copy = pages.home / PRACTICE_FOLDER / at
    assert copy.read_bytes() == as_it_was
    assert f'data-back="{name}"' not in pages.visitor.get(pages.base).text
    copy.write_bytes(b"spoilt")
    pages.visitor.get(f"{pages.base}mine/{name}", allow_redirects=False)
    assert copy.read_bytes() == b"spoilt"  # what is the reader's own is never written over
    assert f'data-back="{name}"' in pages.visitor.get(pages.base).text
    old = pages.home / PRACTICE_FOLDER / tell(pages, f"back/{name}", {}).json()["old"]
    assert copy.read_bytes() == as_it_was
    assert (old / copy.name if old.is_dir() else old).read_bytes() == b"spoilt"
    assert original.read_bytes() == as_it_was


@pytest.mark.full
def test_nothing_is_left_when_it_is_told_to_end(tmp_path):
    _write_course(tmp_path / "project")
    with _opened(tmp_path) as opened:
        lab = lab_of(opened)
        lab.recv()
        opened.visitor.get(opened.base + SMALL)  # a page is being made
        assert eventually(
            lambda: any(
                "ipykernel_launcher" in one.cmdline()
                for one in psutil.Process(opened.process.pid).children(recursive=True)
            )
        )
        below = psutil.Process(opened.process.pid).children(recursive=True)
        opened.process.send_signal(signal.SIGTERM)
        assert opened.process.wait(timeout=60) == 0
        _, left = psutil.wait_procs(below, timeout=10)
        assert left == []


def test_a_self_check_stands_without_its_code():
    shown = self_check("05.air")
    asks, works = (new_code_cell(source) for source in ('self_check("05.air")', "print(1 + 1)"))
    asks.outputs = [nbformat.v4.new_output("display_data", {"text/html": shown.data})]
    works.outputs = [nbformat.v4.new_output("stream", text="2")]
    page = as_html(new_notebook(cells=[asks, works]))
    assert 'data-check="05.air"' in page
    assert page.count('<details class="code">') == 1
    assert "self_check" not in page
