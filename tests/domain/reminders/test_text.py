"""The texts of the mails."""

from jobs.domain.reminders.delivery import deliver_due
from jobs.domain.workshop.accounts import change_person
from jobs.domain.workshop.commands import set_sheet
from tests.domain.reminders.conftest import HOUR, HOUR_GLUE, MINUTE
from tests.mailbox import html_of, mails_in, text_of


def sent(folder, now):
    assert deliver_due(now) == 1
    return mails_in(folder)[-1]


def hm(moment):
    return f"{moment:%H:%M}"


def test_ready_says_since_when_what_it_rests_on_what_it_holds_and_where(bench, mail_folder):
    piece = bench.glue_up()
    deliver_due(bench.glued + 20 * MINUTE)
    deliver_due(bench.glued + 50 * MINUTE)
    ready = bench.glued + 4 * HOUR
    mail = sent(mail_folder, ready)
    assert mail["Subject"] == f"{piece.number} Clamps off: ready since {hm(ready)}"
    assert mail["Auto-Submitted"] == "auto-generated"
    text = text_of(mail)
    for words in (
        f"Clamps off: ready since {hm(ready)} UTC",
        f"Piece: {piece.number}, Desk top",
        f"Commission: {piece.commission.number}, Desk by the window",
        f"What waited: Glue holding, clamps stay on, since {hm(bench.glued)} UTC",
        "It holds: Clamps off",
        "Rests on: Hour glue, the shop's own sheet, version 1; 68 °F, 45 % relative humidity",
        f"https://shop.example/pieces/{piece.number}/stages/clamps-off/",
        "The product's own sheet, local codes and licensed practice come first.",
    ):
        assert words in text
    assert "late" not in text
    assert "None" not in text
    html = html_of(mail)
    assert f'<a href="https://shop.example/pieces/{piece.number}/stages/clamps-off/"' in html
    assert "Hello " in text and "Hello " in html
    assert "Hour glue, the shop&#x27;s own sheet" in html


def test_temperatures_come_in_the_persons_unit(bench, mail_folder):
    change_person(bench.by, temperature_unit="C")
    bench.glue_up()
    assert "20 °C, 45 % relative humidity" in text_of(sent(mail_folder, bench.glued + 20 * MINUTE))


def test_a_default_of_the_class_is_called_one(bench, mail_folder):
    """A sheet nobody entered must not pass for the product's own."""
    bench.glue_up(glue="pva")
    text = text_of(sent(mail_folder, bench.glued + 15 * MINUTE))
    assert "the usual figures of its class, not the product's own sheet" in text
    assert "no source" not in text, "that stands on the page of the wait"


def test_an_open_window_says_until_when(bench, mail_folder):
    piece = bench.glue_up()
    opens, closes = bench.glued + 20 * MINUTE, bench.glued + 60 * MINUTE
    mail = sent(mail_folder, opens)
    expected = f"{piece.number} Squeeze-out scraped: window open since {hm(opens)}, closes {hm(closes)}"
    assert mail["Subject"] == expected


def test_a_window_about_to_close_says_when(bench, mail_folder):
    piece = bench.glue_up()
    deliver_due(bench.glued + 20 * MINUTE)
    mail = sent(mail_folder, bench.glued + 50 * MINUTE)
    closes = hm(bench.glued + 60 * MINUTE)
    assert mail["Subject"] == f"{piece.number} Squeeze-out scraped: window closes {closes}"


def test_a_window_that_closed_before_the_mail_left_says_so(bench, mail_folder):
    piece = bench.glue_up()
    deliver_due(bench.glued + 20 * MINUTE)
    mail = sent(mail_folder, bench.glued + 61 * MINUTE)
    closes = hm(bench.glued + 60 * MINUTE)
    assert mail["Subject"] == f"Late: {piece.number} Squeeze-out scraped: window closed {closes}"
    assert "Look at the piece and the product's sheet before you go on." in text_of(mail)


def test_a_window_shorter_than_the_sweep_is_not_called_open(bench, mail_folder):
    set_sheet(
        bench.call(), kind="glue", key="short-glue",
        data=HOUR_GLUE | {"scrape_from_s": 10, "scrape_to_s": 20},
    )  # fmt: skip
    piece = bench.glue_up(glue="short-glue")
    assert deliver_due(bench.glued + MINUTE) == 2
    closes = hm(bench.glued + MINUTE / 3)
    expected = f"{piece.number} Squeeze-out scraped: window closed {closes}"
    assert [m["Subject"] for m in mails_in(mail_folder)] == [expected, expected]


def test_another_day_is_named(bench, mail_folder):
    bench.glue_up()
    ready = bench.glued + 4 * HOUR
    later = ready + 24 * HOUR
    text = text_of(sent(mail_folder, later))
    assert f"ready since {ready:%a %d %b %Y %H:%M} UTC" in text
    assert f"This reminder was due at {ready:%a %d %b %Y %H:%M} UTC; it comes late." in text


def test_markup_in_a_label_stays_text(bench, mail_folder):
    bench.glue_up(label="<b>Top</b> & leaf")
    mail = sent(mail_folder, bench.glued + 20 * MINUTE)
    assert "<b>Top</b> & leaf" in text_of(mail)
    assert "&lt;b&gt;Top&lt;/b&gt; &amp; leaf" in html_of(mail)
