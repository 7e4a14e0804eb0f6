"""Stored words that a page shows, listed so that translations can include them.

The database keeps the English word in every language; a page calls ``translate_stored``.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_noop as _

from jobs.domain.settings import tax_name

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise as Lazy  # the name that the stubs have for a lazy text
else:
    from django.utils.functional import Promise as Lazy

Text = str | Lazy
"""A text of the page: in its language, or translated when it is shown."""
STANDINGS = (
    _("quoted"), _("accepted"), _("in the shop"), _("ready"), _("delivered"), _("closed"),
    _("declined"), _("planned"), _("under way"), _("waiting"), _("done"), _("skipped"),
    _("missed"), _("running"), _("finished"), _("void"), _("suspect"), _("untimed"), _("open"),
    _("paused"), _("draft"), _("issued"), _("superseded"), _("credited"), _("withdrawn"),
    _("paid"), _("late"), _("expired"),
    _("forgotten"), _("free"), _("reserved"), _("used"), _("written off"), _("full"), _("half"), _("low"),
    _("empty"), _("claimed"), _("failed"), _("sent"), _("given up"),
)  # fmt: skip
THINGS = (
    _("clamp"), _("bench place"), _("finishing room place"), _("glue"), _("finish"), _("wood"), _("abrasive"),
    _("hardware"), _("other"), _("machines"), _("rack"), _("office"), _("bench"), _("finishing room"),
    _("clamps"), _("road"), _("lumber"), _("supplies"), _("hours"), _("invoice"),
    _("steel channel"), _("bolt with insert"), _("breadboard peg"), _("screw with washer"),
    _("table button"), _("figure-eight"), _("sanding discs"),
    _("liter"), _("quart"), _("gallon"), _("kilogram"), _("pound"),
    _("I-beam bar"), _("pipe"), _("bar or pipe"), _("quick-grip"), _("parallel jaw"),
    _("F-style"), _("hand screw"), _("light"),
    _("payment"), _("deposit"), _("repayment"), _("discs"), _("pieces"), _("sets"),
    _("screen"), _("mail"), _("push"), _("drawing"), _("sample"), _("heavy lifting"),
)  # fmt: skip
CHOSEN = (
    _("flatsawn"), _("quartersawn"), _("best face"), _("alternating"), _("all heart up"), _("square"),
    _("eased"), _("rounded over"), _("bullnose"), _("biscuits"), _("dowels"),
    _("loose tenons"), _("plain glued"), _("none"), _("before finishing"), _("after finishing"), _("either"),
    _("odd"), _("even"), _("piece"), _("hour"), _("joint"), _("square foot"), _("board foot"),
    _("lump sum"), _("taxed"), _("when made"), _("in the dry season"), _("in the humid season"),
    _("between"), _("legs"), _("trestles"), _("frame"), _("cabinet"), _("slots"), _("buttons"),
    _("figure-eights"),
    _("not told"), _("usual boards"), _("reserved boards"), _("select"), _("no. 1 common"),
    _("no. 2A common"), _("FAS"),
    _("zero rate"), _("exempt"), _("outside tax"), _("UBL"), _("CII"), _("letter"), _("A4"), _("by country"),
    _("markup"), _("margin"), _("owner"), _("maker"),
    _("reverse charge"), _("goods to a business in another EU country"), _("export out of the EU"),
    _("sales tax"), _("VAT"), _("GST"), _("usual"), _("important"), _("must"),
)  # fmt: skip
GAPS = (
    _("the shop's name"), _("the shop's country"), _("the shop's tax number"), _("the client's name"),
    _("the client's country"), _("why the client is exempt from tax"),
    _("its own invoice for what is outside tax"), _("the day it was delivered"),
    _("a currency of three letters"), _("who answers about invoices"),
    _("the phone for invoices"), _("the shop's e-mail"), _("the shop's city"), _("the shop's postal code"),
    _("the shop's IBAN"), _("the client's city"), _("the client's postal code"),
    _("the client's reference"), _("the client's e-mail"),
)  # fmt: skip
"""What an invoice as data may lack."""
SETTINGS = (
    _("tax on a price line"), _("deposit asked for at acceptance"), _("waste in buying lumber"),
    _("price of a board foot"), _("price of a sanding disc"), _("indoor humidity in the humid season"),
    _("indoor humidity in the dry season"), _("indoor temperature"), _("usual shop temperature"),
    _("usual shop humidity"), _("days until an invoice is due"),
    _("years that invoices and receipts of a forgotten client are kept"),
    _("days after which a client should be told something"), _("rate of an hour of work"),
    _("cost of an hour of the owner"), _("cost of an hour of a helper"),
    _("working days of margin on a promise"),
    _("overhead on materials and hours"), _("profit"), _("days that a quote holds"),
    _("days after which to ask again about a quote"),
    _("people who can lift and glue up together"), _("share of the week that goes to other things"),
)  # fmt: skip
LABELS = (
    _("Site visit"), _("Collecting wood"), _("Delivery"), _("Other date"), _("Planned"), _("Done"),
    _("site visit"), _("wood"), _("delivery"), _("Visit the site"), _("Collect the wood"), _("Deliver"),
    _("Keep a date"), _("Agree the day of delivery"),
    _("Quoted"), _("Accepted"), _("In the shop"), _("Ready"), _("Delivered"), _("Closed"),
    _("Drawing"), _("Sample"),
    _("Declined"), _("Free"), _("Reserved"), _("Used"), _("Written off"), _("Full"),
    _("Half"), _("Low"), _("Empty"), _("Clamp"), _("Bench place"), _("Finishing room place"), _("Glue"),
    _("Finish"),
    _("Abrasive"), _("Hardware"), _("Other"), _("Quote"), _("Change order"),
    _("Owner"), _("Maker"), _("Inches and fractions"), _("°F"), _("°C"),
    _("All that I may do"), _("A sensor: hands in readings, nothing else"),
    _("A calendar: reads my feed of times, nothing else"),
    _("A wall: shows work and waits, no money, no client"),
    _("A wall: shows work, waits and clients' names, no money"),
    _("Rags dealt with?"), _("Dust of fresh finish emptied?"), _("Screen"), _("E-mail"), _("Push"),
)  # fmt: skip


BECAUSE = (
    _("price"), _("time"), _("elsewhere"), _("no answer"), _("other"), _("not said"), _("wood"), _("work"),
    _("supplies"),
)  # fmt: skip
"""Why a quote was lost, and what a price is made of."""
OFFICE = (
    _("Add the piece"), _("Write the quote"), _("Send the quote"), _("Wait for the client"), _("Ask again"),
    _("Revise or let go"), _("Accept without a quote"), _("Issue the invoice and send it"),
    _("Record the payment"), _("Record the deposit"), _("Send the deposit invoice"), _("Send the invoice"),
    _("Remind of the payment"),
)  # fmt: skip
DRAWINGS = _("Client drawing"), _("Glue-up plan"), _("Underside"), _("Breadboard end")
METHODS = _("cash"), _("check"), _("transfer"), _("card"), _("other")


SPELLED = {
    "enquiry": _("inquiry"), "Enquiry": _("Inquiry"), "cancelled": _("canceled"), "Cancelled": _("Canceled"),
    "aluminium bar": _("aluminum bar"), "bevelled": _("beveled"), "litre": _("liter"),
    "litres": _("liters"), "Millimetres": _("Millimeters"), "labour": _("labor"),
    "materials and labour": _("materials and labor"), "expired": _("lapsed"), "held": _("on hold"),
    "in": _("inches"), "mm": _("millimeters"),
}  # fmt: skip
"""What a person reads for a word that is stored in another spelling."""


def translate_stored(word: str) -> str:
    """Return a stored word in the language of the page."""
    return gettext(SPELLED.get(word, word)) if word else ""


def told_tax() -> str:
    """Return what the shop calls its tax, in the language of the page."""
    return translate_stored(tax_name())


def told_choices(choices: Iterable[tuple[str, str]]) -> list[tuple[str, Text]]:
    """Return the choices of a model, as a form offers them."""
    return [(value, gettext_lazy(SPELLED.get(label, label))) for value, label in choices]


def capital(words: str) -> str:
    """Return the text with a capital first letter and the rest unchanged."""
    return words[:1].upper() + words[1:]
