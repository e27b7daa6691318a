"""Running the program inside the test's own process, as its users call it."""

import io
import os
import sys
import tempfile
from contextlib import chdir, contextmanager
from subprocess import CompletedProcess
from types import SimpleNamespace
from unittest.mock import patch

from planner.cli import main


def planner(*words, home=None, answers=""):
    """Run `planner WORDS` in the folder `home`, `answers` typed in; what any library prints counts too."""
    argv = ["planner", *map(str, words)]
    code = 0
    with _caught() as caught, patch.multiple(sys, argv=argv, stdin=io.StringIO(answers)), chdir(home or "."):
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
    assert "Traceback" not in caught.out + caught.err, caught.err
    return CompletedProcess(argv, code, caught.out, caught.err)


@contextmanager
def _caught():
    """Catch what goes to both outputs, by Python or below it."""
    caught, kept = SimpleNamespace(), (os.dup(1), os.dup(2))
    with tempfile.TemporaryFile("w+", encoding="utf-8") as out, tempfile.TemporaryFile("w+") as err:
        try:
            os.dup2(out.fileno(), 1), os.dup2(err.fileno(), 2)
            with patch.multiple(sys, stdout=out, stderr=err):
                yield caught
        finally:
            for stream, name, number in ((out, "out", 1), (err, "err", 2)):
                stream.flush()
                stream.seek(0)
                setattr(caught, name, stream.read())
                os.dup2(kept[number - 1], number)
                os.close(kept[number - 1])


def run(*words):
    """Run `planner WORDS`: exit code, stdout and stderr as `code`, `out` and `err`."""
    done = planner(*words)
    return SimpleNamespace(code=done.returncode, out=done.stdout, err=done.stderr)


def printed(*words, home=None):
    done = planner(*words, home=home)
    assert done.returncode == 0, done.stderr
    return done.stdout


def pages_of(pdf):
    """The text of each page as PDFium reads it, in a tenth of pypdf's time; lines end as in Python."""
    from pypdfium2 import PdfDocument

    return [page.get_textpage().get_text_bounded().replace("\r", "") for page in PdfDocument(pdf)]


def draw_quickly(patch):
    """Let every PDF be one empty page, made in this process."""
    from pypdf import PdfWriter

    import planner.sheets.paper  # noqa: F401  # else it would take its names from a patched module

    (writer := PdfWriter()).add_blank_page(210, 297)
    writer.write(empty := io.BytesIO())
    patch.setattr("os.cpu_count", lambda: 1)
    patch.setattr("planner.sheets.render._fonts", [None])
    patch.setattr("planner.sheets.render._lay_out", lambda _: SimpleNamespace(pages=()))
    for module in ("planner.sheets.render", "planner.sheets.paper"):
        patch.setattr(f"{module}.write_pdf", lambda _: empty.getvalue())
