"""What a stranger's kernel put out, made fit to show."""

import time
from html.parser import HTMLParser

import nbformat
import pytest
from hypothesis import given
from hypothesis import strategies as st
from nbconvert.filters.markdown_mistune import markdown2html_mistune

from warmside.autograde.cleaning import clean_outputs, verbatim


def cleaned(*outputs) -> list:
    cell = nbformat.v4.new_code_cell("")
    cell.outputs = [nbformat.from_dict(output) for output in outputs]
    clean_outputs(cell)
    return cell.outputs


def display(data, **more):
    return {"output_type": "display_data", "data": data, "metadata": {}, **more}


def test_text_tables_and_pictures_stay():
    rows = '<tr><th scope="row">a</th><td colspan="2"><b>1</b></td></tr>'
    table = f"<table><tbody>{rows}</tbody></table>"
    picture = "iVBORw0KGgo="
    (output,) = cleaned(display({"text/plain": "x < 1", "text/html": table, "image/png": picture}))
    assert output.data == {"text/plain": "x < 1", "text/html": table, "image/png": picture}


def test_a_picture_inside_markup_stays_and_one_from_elsewhere_goes():
    inside = '<img alt="a log" src="data:image/png;base64,iVBORw0KGgo=">'
    (output,) = cleaned(display({"text/html": inside}))
    assert output.data["text/html"] == inside
    for source in ("https://elsewhere.example/x.png", "data:text/html,x", "data:image/svg+xml;base64,AA=="):
        (output,) = cleaned(display({"text/html": f'<img src="{source}" onerror="alert(1)">'}))
        assert output.data["text/html"] == "<img>"


def test_much_markup_is_cleaned_in_a_moment():
    # A cleaner whose time grows with the square of the nesting took minutes for each of these.
    for hostile in ("<b>" * 200_000, "<div>" * 200_000, "<table><tr><td>" * 70_000, "<" * 100_000):
        begin = time.process_time()
        cleaned(display({"text/html": hostile}))
        assert time.process_time() - begin < 5.0


def test_markup_nested_without_end_is_left_out_and_a_long_table_stays():
    (output,) = cleaned(display({"text/html": "<div>" * 2_000, "text/plain": "x"}))
    assert output.data == {"text/plain": "x"}
    (output,) = cleaned(display({"text/html": "<table>" + "<tr><td>1<br></td></tr>" * 2_000 + "</table>"}))
    assert output.data["text/html"].count("<td>") == 2_000


@pytest.mark.parametrize(
    "data",
    [
        {"application/javascript": "alert(1)"},
        {"image/svg+xml": "<svg onload='alert(1)'/>"},
        {"text/markdown": "![x](https://elsewhere.example/x.png)"},
        {"text/latex": "\\href{javascript:alert(1)}{x}"},
        {"application/vnd.warmside.answer+json": {"name": "verdict", "text": "a"}},
        {"image/png": '"><script>alert(1)</script>'},
    ],
)
def test_what_could_run_or_fetch_is_left_out(data):
    assert cleaned(display(data)) == []


def test_metadata_and_results_become_plain():
    (output,) = cleaned(
        {
            "output_type": "execute_result",
            "data": {"text/plain": "20.0"},
            "metadata": {"text/plain": {"width": '"><script>'}},
            "execution_count": "<script>",
        }
    )
    assert (output.output_type, output.metadata, dict(output.data)) == (
        "display_data",
        {},
        {"text/plain": "20.0"},
    )


def test_streams_and_errors_keep_their_text():
    stream, error = cleaned(
        {"output_type": "stream", "name": "<script>", "text": ["a", "b"]},
        {"output_type": "error", "ename": "E", "evalue": 5, "traceback": ["one", 2]},
    )
    assert (stream.name, stream.text) == ("stdout", "ab")
    assert (error.ename, error.evalue, error.traceback) == ("E", "", ["one", ""])


class Tags(HTMLParser):
    def __init__(self, page):
        super().__init__()
        self.seen: list[tuple[str, list]] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.seen.append((tag, attrs))


PIECES = st.sampled_from(
    [
        "<script>",
        "</script>",
        "<img/src=x/onerror=alert(1)>",
        "<a/href='javascript:x'>",
        "<svg/onload=x>",
        "<td",
        "<",
        ">",
        "<!--",
        "-->",
        "<style>",
        "</td>",
        "<table>",
        "\x00",
        "<b/onclick=x>",
        "&lt;script&gt;",
        "<iframe/srcdoc=",
        "'",
        '"',
    ]
)
MARKUP = st.lists(st.one_of(PIECES, st.text(max_size=5)), max_size=12).map("".join)


@pytest.mark.full
@given(MARKUP)
def test_no_markup_brings_a_script_through(text):
    for output in cleaned(display({"text/html": text})):
        for tag, attributes in Tags(output.data["text/html"]).seen:
            assert tag not in ("script", "a", "svg", "style", "iframe")
            assert all(name in ("colspan", "rowspan", "scope", "alt") for name, _ in attributes)


@given(MARKUP)
def test_a_text_cell_is_shown_as_typed(text):
    for tag, _ in Tags(markdown2html_mistune(verbatim(text))).seen:
        assert tag in ("pre", "code", "div", "span", "p")


@given(
    st.recursive(
        st.one_of(st.none(), st.booleans(), st.integers(), st.text(max_size=8)),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    )
)
def test_whatever_stands_where_text_belongs_is_no_error(value):
    cleaned(
        {"output_type": "stream", "name": value, "text": value},
        {"output_type": "error", "ename": value, "evalue": value, "traceback": value},
        display({"text/html": value, "text/plain": value, "image/png": value}),
    )
