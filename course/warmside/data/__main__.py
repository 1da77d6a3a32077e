"""Write the course's page of tables: ``python -m warmside.data``, or ``--check`` that it is in step."""

import sys

import click
import nbformat

from warmside import project
from warmside.data.page import page
from warmside.errors import InputError


@click.command()
@click.option("--check", is_flag=True, help="Write nothing; end with status 1 if the page is out of step.")
def main(check: bool) -> None:
    """Write course/tables.ipynb from the tables of warmside.data."""
    try:
        path = project.root() / "course" / "tables.ipynb"
        content = nbformat.writes(page()) + "\n"
    except InputError as error:
        click.echo(error, err=True)
        sys.exit(2)
    if not check:
        path.write_text(content, encoding="utf-8")
    elif not path.exists() or path.read_text(encoding="utf-8") != content:
        click.echo(f"{path.name} is out of step with the tables; run python -m warmside.data.", err=True)
        sys.exit(1)
    click.echo(f"{path.name} is in step with the tables.")


if __name__ == "__main__":
    main()
