"""The printed stick, measured on its own rendering."""

from __future__ import annotations

import io
import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from bot import stick_command
from bot.main import main
from bot.stick_page import CHECK_MM, PNG_DPI, pages_as_png, stick_pdf
from conversations.intents import Measured
from conversations.session.state import Kit
from conversations.session.stick import scale_of

DPI = 720
LEFT_EDGE_MM = 14.0


def rendered(pdf: bytes, page: int = 0, dpi: int = DPI) -> np.ndarray:
    """Grey levels of a page; a row is 25.4 / dpi mm high."""
    document = pypdfium2.PdfDocument(pdf)
    picture = document[page].render(scale=dpi / 72, grayscale=True).to_numpy()
    document.close()
    return picture.reshape(picture.shape[0], picture.shape[1])


def lines_mm(grey: np.ndarray, from_mm: float, to_mm: float, dpi: int = DPI) -> list[float]:
    """Heights, in mm from the lower edge, of the lines that run unbroken from one place to another."""
    left, right = (round(mm / 25.4 * dpi) for mm in (from_mm, to_mm))
    dark = (grey[:, left:right] < 128).all(axis=1)
    rows = np.flatnonzero(dark)
    groups = np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)
    return sorted((grey.shape[0] - (group.mean() + 0.5)) * 25.4 / dpi for group in groups if len(group))


def m(value: float, unit: str) -> Measured:
    return Measured(value=value, unit=unit)


def test_a_litre_is_as_far_from_the_next_as_the_pot_says() -> None:
    # Source: volume of a cylinder; ISO 32000: 72 points of a PDF are one inch.
    kit = Kit(pot_diameter=m(26, "centimetre"), pot_height=m(22, "centimetre"))
    grey = rendered(stick_pdf(scale_of(kit, "metric"), "metric"))
    # Whole lines are 17 mm long, half ones 11 mm: between 12 and 16 mm there are only whole ones.
    found = lines_mm(grey, LEFT_EDGE_MM + 12, LEFT_EDGE_MM + 16)
    spacing = 1e6 / (math.pi / 4 * 260**2)
    assert len(found) == 11
    for number, (lower, upper) in enumerate(pairwise(found), start=1):
        assert upper - lower == pytest.approx(spacing, abs=0.05), number
    assert found[-1] - found[0] == pytest.approx(10 * spacing, abs=0.1)
    # The lower edge of the strip is where the stick stands.
    edge = min(lines_mm_dashed(grey))
    assert found[0] - edge == pytest.approx(spacing, abs=0.2)


def lines_mm_dashed(grey: np.ndarray) -> list[float]:
    """Heights of dashed lines: rows in which about half of a long stretch is dark."""
    left, right = (round(mm / 25.4 * DPI) for mm in (LEFT_EDGE_MM + 19, LEFT_EDGE_MM + 29))
    share = (grey[:, left:right] < 128).mean(axis=1)
    rows = np.flatnonzero((share > 0.35) & (share < 0.65))
    groups = np.split(rows, np.flatnonzero(np.diff(rows) > 2) + 1)
    return [(grey.shape[0] - (group.mean() + 0.5)) * 25.4 / DPI for group in groups if 3 <= len(group) <= 8]


@pytest.mark.parametrize(("units", "width_mm"), [("metric", 210.0), ("us", 215.9)])
def test_check_line_is_fifty_millimetres(units: str, width_mm: float) -> None:
    kit = Kit(pot_diameter=m(24, "centimetre"))
    grey = rendered(stick_pdf(scale_of(kit, units), units))  # type: ignore[arg-type]
    assert grey.shape[1] == pytest.approx(width_mm / 25.4 * DPI, abs=1)
    x = width_mm - LEFT_EDGE_MM - 8.0
    ends = lines_mm(grey, x + 1.0, x + 3.8)
    assert len(ends) == 2
    assert ends[1] - ends[0] == pytest.approx(CHECK_MM, abs=0.1)


def test_marks_of_a_rounded_pot_are_followed() -> None:
    # Source: scipy's monotone cubic interpolation through the same marks.
    depths, volumes = [0.0, 30, 60, 120, 200], [0.0, 0.8, 2.1, 5.4, 10.2]
    marks = tuple((m(d, "millimetre"), m(v, "litre")) for d, v in zip(depths[1:], volumes[1:], strict=True))
    grey = rendered(stick_pdf(scale_of(Kit(marks=marks), "metric"), "metric"))
    found = lines_mm(grey, LEFT_EDGE_MM + 12, LEFT_EDGE_MM + 16)
    curve = PchipInterpolator(depths, volumes)
    expected = [brentq(lambda d, v=v: float(curve(d)) - v, 0, 200) for v in range(1, 11)]
    measured = np.array(found[:10]) - found[0]
    assert measured == pytest.approx(np.array(expected) - expected[0], abs=0.2)


def test_a_long_stick_goes_on_over_pieces_without_losing_or_moving_a_line() -> None:
    kit = Kit(pot_diameter=m(20, "centimetre"), pot_height=m(60, "centimetre"))
    grey = rendered(stick_pdf(scale_of(kit, "metric"), "metric"))
    spacing = 1e6 / (math.pi / 4 * 200**2)
    counted = 0
    for piece in range(3):
        left = LEFT_EDGE_MM + 40 * piece
        found = lines_mm(grey, left + 12, left + 16)
        for lower, upper in pairwise(found):
            steps = (upper - lower) / spacing
            assert steps == pytest.approx(round(steps), abs=0.01) or upper - lower < spacing / 2
        counted += len(found)
    # 18 whole litres fit; what lies in the two overlaps of 10 mm stands twice.
    assert 18 <= counted <= 22


def test_picture_says_its_resolution() -> None:
    pdf = stick_pdf(scale_of(Kit(), "metric"), "metric")
    picture = Image.open(io.BytesIO(pages_as_png(pdf)[0]))
    assert picture.info["dpi"] == pytest.approx((PNG_DPI, PNG_DPI), abs=0.01)
    assert picture.size == pytest.approx((210 / 25.4 * PNG_DPI, 297 / 25.4 * PNG_DPI), abs=1)


def test_command_writes_what_it_says(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    out = tmp_path / "s.pdf"
    assert main(["stick", "--diameter", "9.5 in", "-o", str(out)]) == 0
    assert str(out) in capsys.readouterr().out
    assert out.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    "words",
    [
        ["--diameter", "24kg"],
        ["--diameter", "wide"],
        ["--diameter=-24cm"],
        ["--diameter", "0cm"],
        ["--marks", "6cm"],
        ["--marks", "3cm=2l,2cm=3l"],
        ["--marks", "nan=2l"],
        ["--diameter", "24cm", "--height", "1mm"],
    ],
)
def test_bad_pots_are_refused_in_a_sentence(words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stick", *words, "-o", str(tmp_path / "s.pdf")]) == 2
    said = capsys.readouterr().err
    assert said.startswith("potside: ")
    assert "Traceback" not in said
    assert not list(tmp_path.iterdir())


def test_marks_on_the_command_line_are_sorted() -> None:
    pairs = stick_command.read_marks("12.5cm=4l, 6.3cm=2l", "metric")
    assert [pair[1].value for pair in pairs] == [2, 4]
