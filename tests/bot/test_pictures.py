"""Every picture, with few readings and many, long names, both unit systems, and nothing to show at all."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from itertools import pairwise
from xml.etree import ElementTree

import matplotlib
import pytest
from matplotlib.figure import Figure
from PIL import Image

from bot.attachments import MAKERS, File, make
from bot.batch_record import NothingToShow, Record, record_of
from bot.pictures import boil, card, costs, day, ferment, glass, look, mash
from bot.store import Store
from bot.store_diary import ChatDiary
from conversations.intents import Measured
from conversations.session.events import Attachment
from conversations.session.state import Used
from tests.bot.played_days import fermenting, imperial_day, played, whole_day

Chart = Callable[[Record, look.Theme], Figure]
CHARTS: dict[str, Chart] = {
    "gravity": ferment.gravity_chart,
    "mash": mash.mash_chart,
    "boil": boil.boil_chart,
    "day": day.day_chart,
    "colour": glass.colour_chart,
    "costs": costs.cost_chart,
    "card": card.card,
}
KINDS = [kind for kind, maker in MAKERS.items() if maker.startswith("bot.pictures.")]
WITHOUT_PRICES = [kind for kind in KINDS if kind != "cost_chart"]
USED = tuple(
    Used(item=name, name=name, amount=Measured(value=amount, unit="gram"), cost=cost)
    for name, amount, cost in (("pale malt", 1500.0, "2.85"), ("Fuggle", 14.0, "0.931"), ("dry ale yeast", 5.0, "1.50"), ("sugar", 40.0, None))
)
LONG = "The very long evening of a Baltic smoked oatmeal something with far too many words in its name and $5 of hops"


def svg_text(figure: Figure) -> str:
    """The words of a picture, read from its SVG."""
    with matplotlib.rc_context({"svg.fonttype": "none"}):
        root = ElementTree.fromstring(look.as_svg(figure))
    return "\n".join("".join(each.itertext()) for each in root.iter("{http://www.w3.org/2000/svg}text"))


def drawn(chart: str, diary: ChatDiary, theme: look.Theme = look.DAY) -> str:
    return svg_text(CHARTS[chart](record_of(diary, None), theme))


@cache
def of_the_day(chart: str) -> str:
    """The words of a picture of the whole day."""
    return drawn(chart, whole_day())


@pytest.mark.parametrize("theme", ["day", "night"])
@pytest.mark.parametrize("kind", WITHOUT_PRICES)
def test_every_picture_is_a_png_for_a_phone(kind: str, theme: str) -> None:
    made = make(whole_day(), Attachment(kind=kind, alt="", options={"theme": theme}))
    assert isinstance(made, File), made
    assert made.media_type == "image/png"
    picture = Image.open(io.BytesIO(made.data))
    assert picture.width == 1080
    assert 600 <= picture.height <= 1600
    colours = picture.convert("RGB").getcolors(1 << 22)
    assert colours is not None
    paper = max(colours)[1]
    wanted = look.DAY.paper if theme == "day" else look.NIGHT.paper
    assert "#{:02x}{:02x}{:02x}".format(*paper) in (wanted, look.DAY.card if theme == "day" else look.NIGHT.card)


@pytest.mark.parametrize(
    ("chart", "axis"),
    [
        ("gravity", "Specific gravity at 20 °C"),
        ("gravity", "Temp. (°C)"),
        ("gravity", "Date, 2026 (Lisbon time)"),
        ("mash", "Temperature (°C)"),
        ("mash", "Minutes since the grain went in (09:57, Lisbon time)"),
        ("boil", "Minutes since the boil began"),
        ("day", "Time of day, 14 March 2026 (Lisbon time)"),
        ("colour", "Colour (EBC), predicted from the malts, through 6 cm of beer"),
    ],
)
def test_axes_say_what_and_in_which_unit(chart: str, axis: str) -> None:
    assert axis in of_the_day(chart).split("\n")


@pytest.mark.parametrize(("chart", "axis"), [("gravity", "Temp. (°F)"), ("mash", "Temperature (°F)")])
def test_units_are_the_person_s(chart: str, axis: str) -> None:
    words = drawn(chart, imperial_day())
    assert axis in words
    assert "(°C)" not in words


def test_gravity_picture_shows_the_numbers_that_were_sent() -> None:
    words = of_the_day("gravity")
    for number in ("1.045", "1.011", "4.5 % alcohol"):
        assert number in words


def test_forecast_is_shown_while_it_ferments_and_not_once_it_is_stable() -> None:
    going = fermenting("+1d", "gravity 1.038 at 20 C", "+1d", "gravity 1.026 at 20 C")
    assert re.search(r"likely 1\.0\d\d to 1\.0\d\d", drawn("gravity", going))
    done = fermenting("+8d", "gravity 1.010 at 20 C", "+4d", "gravity 1.010 at 20 C")
    assert "likely" not in drawn("gravity", done)


def test_boil_names_each_addition_and_when_it_went_in() -> None:
    words = of_the_day("boil")
    assert "14.0 g Fuggle, in at 11:26" in words
    assert "8.0 g Goldings, in at 12:26" in words


def test_day_holds_every_stage_and_both_lengths() -> None:
    words = of_the_day("day")
    for stage in ("Prepare", "Heat water", "Mash", "Boil", "Chill", "Pitch", "planned", "done"):
        assert stage in words
    # 09:30 to 13:16 in the script.
    assert "3 h 46 min as done" in words


def test_day_s_spans_are_the_script_s_times() -> None:
    start, spans = day.day_spans(record_of(whole_day(), None))
    assert start == datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
    done = {span.name: span.done for span in spans}
    # Grain in at 09:57, bag out at 11:00; boiling at 11:26, flame-out at 12:26.
    assert done["mash"] == (27.0, 90.0)
    assert done["boil"] == (116.0, 176.0)
    planned = [span.planned for span in spans]
    assert all(earlier[1] == later[0] for earlier, later in pairwise(planned))


def test_card_has_name_day_numbers_and_code() -> None:
    words = of_the_day("card")
    for part in ("Heather Lane bitter", "Brewed 14 March 2026", "4.5 %", "1.045", "IBU", "EBC", "Batch B1B", "Fuggle"):
        assert part in words


@pytest.mark.parametrize(
    ("chart", "name"),
    [(chart, LONG) for chart in CHARTS]
    + [("card", name) for name in ("Bière de garde ß", "🍺🍺 ale", "日本のビール", "x" * 300, "<b>&amp;$x^2$")],
)
def test_any_name_can_be_drawn(chart: str, name: str, recwarn: pytest.WarningsRecorder) -> None:
    diary = fermenting("gravity 1.030 at 20 C", "66 degrees")
    record = record_of(diary, None)
    readings = record.batch.readings
    mashed = readings[0].model_copy(
        update={"kind": "temperature", "stage": "mash", "value": record.batch.recipe.mash_temperature, "corrected": None}
    )
    batch = record.batch.model_copy(update={"name": name, "readings": (*readings, mashed)})
    batch = batch.model_copy(update={"used": USED})
    record = replace(record, batch=batch)
    figure = CHARTS[chart](record, look.NIGHT)
    figure.set_dpi(40)
    figure.canvas.draw()
    assert [str(each.message) for each in recwarn if "Glyph" in str(each.message)] == []


def test_a_dollar_is_a_dollar() -> None:
    words = svg_text(look.page(look.DAY, "ale for $5 and $6")[0])
    assert "ale for $5 and $6" in words


@pytest.mark.parametrize("count", [1, 2, 24])
def test_few_and_many_readings(count: int) -> None:
    wait = "+5h" if count > 10 else "+3d"
    lines = [line for k in range(count) for line in (wait, f"gravity {1.044 - 0.034 * k / count:.3f} at 20 C", "20.5 C")]
    diary = fermenting(*lines)
    assert len(record_of(diary, None).fermenting) == count
    assert "Temp. (°C)" in drawn("gravity", diary)


def with_prices(diary: ChatDiary) -> Record:
    record = record_of(diary, None)
    return replace(record, batch=record.batch.model_copy(update={"used": USED}))


@pytest.mark.parametrize("theme", [look.DAY, look.NIGHT], ids=["day", "night"])
def test_costs_add_up(theme: look.Theme) -> None:
    words = svg_text(costs.cost_chart(with_prices(whole_day()), theme))
    # 2.85 + 0.931 + 1.50 for 7.9 litres: 5.281 / 7.9 / 2 for a bottle of half a litre.
    for part in ("€5.28", "€0.33 a bottle of 500 ml", "1 without a price", "1.50 kg pale malt", "2.85", "Cost (EUR) of the part that was used"):
        assert part in words


def test_dry_hops_are_marked_on_the_gravity_and_not_in_the_boil() -> None:
    record = record_of(whole_day(), None)
    hops = record.batch.recipe.hops
    dry = hops[0].model_copy(update={"name": "Cascade", "dry_days": 3.0, "added_at": record.fermenting[0].at})
    recipe = record.batch.recipe.model_copy(update={"hops": (*hops, dry)})
    record = replace(record, batch=record.batch.model_copy(update={"recipe": recipe}))
    assert "dry hops" in svg_text(ferment.gravity_chart(record, look.DAY))
    assert "Cascade" not in svg_text(boil.boil_chart(record, look.DAY))


def test_twenty_additions_fit() -> None:
    lines = [f"{n + 1} g Fuggle 5% at {60 - 3 * n}" for n in range(20)]
    diary = played(["@ 2026-03-14 09:30", "brew 8 litres of green ale", "1 kg pale malt", *lines])
    words = drawn("boil", diary)
    assert "first 14 additions" in words


@pytest.mark.parametrize(
    ("kind", "tells"),
    [("gravity_chart", "gravity 1.012"), ("mash_chart", "66.5 C"), ("boil_chart", "12 g Fuggle"), ("colour_chart", "pale malt"), ("cost_chart", "for 9.50"), ("day_chart", "next")],
)
def test_nothing_to_show_is_a_sentence_that_says_what_to_send(kind: str, tells: str) -> None:
    diary = played(["@ 2026-03-14 09:30", "brew 8 litres of plain ale"])
    made = make(diary, Attachment(kind=kind, alt=""))
    assert isinstance(made, str)
    assert tells in made


@pytest.mark.parametrize("kind", KINDS)
def test_no_batch_is_a_sentence(kind: str) -> None:
    assert "no batch yet" in str(make(Store.in_memory().diary("x"), Attachment(kind=kind, alt="")))


def test_card_of_an_empty_batch_is_a_card() -> None:
    assert "No numbers yet" in drawn("card", played(["@ 2026-03-14 09:30", "new batch called plain ale"]))


def test_palette_follows_the_hour_unless_asked() -> None:
    noon, evening = datetime(2026, 3, 14, 12, tzinfo=UTC), datetime(2026, 3, 14, 22, tzinfo=UTC)
    assert look.theme_at(noon) is look.DAY
    assert look.theme_at(evening) is look.NIGHT
    assert look.theme_at(noon, "night") is look.NIGHT


def test_fitted_text_is_never_wider_than_asked() -> None:
    for text in (LONG, "x" * 300, "short", ""):
        rows = look.fitted(text, 3.0, look.BODY, lines=2)
        assert len(rows) <= 2
        assert all(look.width_of(row, look.BODY) <= 3.0 for row in rows)


def test_no_global_state_is_left_behind() -> None:
    before = dict(matplotlib.rcParams)
    make(whole_day(), Attachment(kind="gravity_chart", alt=""))
    assert dict(matplotlib.rcParams) == before


def test_pictures_drawn_in_threads_are_the_same() -> None:
    record = record_of(whole_day(), None)
    charts = [CHARTS[name] for name in ("gravity", "mash", "boil", "card")]

    def png(chart: Chart) -> bytes:
        return look.as_png(chart(record, look.DAY))

    one_by_one = [png(chart) for chart in charts]
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(png, charts)) == one_by_one


def test_pyplot_is_not_needed() -> None:
    code = "import sys, bot.pictures.makers; sys.exit('matplotlib.pyplot' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_nothing_to_show_needs_no_picture() -> None:
    with pytest.raises(NothingToShow):
        record_of(Store.in_memory().diary("x"), None)


# Source: W3C, Web Content Accessibility Guidelines 2.1, 1.4.3 (text 4.5 to 1) and 1.4.11 (graphics 3 to 1).
def contrast(one: str, other: str) -> float:
    def luminance(code: str) -> float:
        parts = [int(code[k : k + 2], 16) / 255 for k in (1, 3, 5)]
        red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", [look.DAY, look.NIGHT], ids=["day", "night"])
def test_text_and_lines_stand_out(theme: look.Theme) -> None:
    for ground in (theme.paper, theme.card):
        for text in (theme.ink, theme.quiet, theme.gravity, theme.done):
            assert contrast(text, ground) >= 4.5, text
        for line in (theme.temperature, theme.plan, theme.warn):
            assert contrast(line, ground) >= 3.0, line


@pytest.mark.parametrize("theme", [look.DAY, look.NIGHT], ids=["day", "night"])
@pytest.mark.parametrize("sight", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_series_are_told_apart_with_any_colour_vision(theme: look.Theme, sight: str) -> None:
    """Source: Machado, Oliveira, Fernandes (2009) by the colour library; CIEDE2000 of 15 is plain to see."""
    colour = pytest.importorskip("colour")
    import numpy as np

    matrix = colour.blindness.matrix_cvd_Machado2009(sight, 1.0)

    def seen(code: str) -> object:
        linear = colour.cctf_decoding(np.array([int(code[k : k + 2], 16) / 255 for k in (1, 3, 5)]))
        return colour.XYZ_to_Lab(colour.RGB_to_XYZ(np.clip(matrix @ linear, 0, 1), "sRGB"))

    pairs = [(theme.gravity, theme.temperature), (theme.done, theme.plan), (theme.done, theme.temperature)]
    for one, other in pairs:
        assert float(colour.delta_E(seen(one), seen(other), method="CIE 2000")) > 15, (one, other)


def test_numbers_of_mash_readings_do_not_cover_their_neighbours() -> None:
    minutes = [float(k * 14) for k in range(8)]
    values = [67.0, 67.4, 67.5, 67.1, 66.6, 66.5, 66.9, 67.3]
    told = mash._told(minutes, values, minutes[-1])
    assert {0, 7} <= told
    assert all(b - a >= 2 for a, b in pairwise(sorted(told)))
    assert mash._told([3.0, 31.0, 45.0], [66.0, 65.0, 67.0], 60.0) == {0, 1, 2}


def test_hops_that_nobody_told_of_are_no_longer_to_come() -> None:
    assert "going in was not noted" in drawn("boil", fermenting())


def test_a_day_that_was_told_in_one_go_has_no_length() -> None:
    words = drawn("day", fermenting())
    assert "Told in one go, so not timed" in words
    assert "shorter than planned" not in words


def test_a_volume_that_was_not_measured_is_the_planned_one() -> None:
    assert "into the fermenter, planned" in drawn("card", fermenting())
    lines = ("@ 2026-03-14 09:30 Europe/Lisbon", "brew 8 litres of ale", "1.5 kg pale malt", "chilled", "8 litres, gravity 1.045 at 20 C", "transferred")
    assert "into the fermenter, planned" not in drawn("card", played(lines))


def test_a_beer_of_unknown_colour_leaves_the_glass_empty() -> None:
    lines = ("@ 2026-03-14 09:30 Europe/Berlin", "brew 5 litres of Nachbars Bier", "yeast is in")
    figure = CHARTS["card"](record_of(played(lines), None), look.DAY)
    assert not any(list(axes.images) for axes in figure.axes)
    filled = CHARTS["card"](record_of(fermenting(), None), look.DAY)
    assert any(list(axes.images) for axes in filled.axes)
