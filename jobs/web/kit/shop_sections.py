"""The sections of the shop's settings, and the page of each setting."""

from django.urls import reverse
from django.utils.translation import gettext_lazy

from jobs.web.kit.stored_translations import Text

PRICE_A_VOLUME = {"finish_prices": "finish", "glue_prices": "glue"}
"""Prices a litre or a quart, and the kind of sheet that each stands for."""
PRICE_A_WEIGHT = {"glue_kg_prices": "glue"}
TEXTS: dict[str, tuple[Text, int, Text]] = {
    "name": (gettext_lazy("Name of the shop"), 0, ""),
    "address": (gettext_lazy("Street"), 2, ""),
    "postcode": (gettext_lazy("ZIP or postal code"), 0, ""),
    "city": (gettext_lazy("City"), 0, ""),
    "country": (gettext_lazy("Country"), 0, gettext_lazy("Two letters, such as US")),
    "contact": (gettext_lazy("Phone, e-mail"), 2, ""),
    "email": (gettext_lazy("E-mail for answers"), 0, gettext_lazy("Clients who answer a mail write to it")),
    "tax_id": (gettext_lazy("Tax number"), 0, ""),
    "payment": (gettext_lazy("How to pay"), 3, gettext_lazy("Stands on invoices")),
    "terms": (gettext_lazy("Terms"), 4, gettext_lazy("Stand on invoices")),
    "exempt_reason": (
        gettext_lazy("Why exempt lines are not taxed"),
        2,
        gettext_lazy("Where the client has no certificate, such as the rule for small businesses"),
    ),
    "person": (gettext_lazy("Who answers about invoices"), 0, ""),
    "phone": (gettext_lazy("Phone for invoices"), 0, ""),
    "account_name": (gettext_lazy("Name on the account"), 0, gettext_lazy("Empty: the name of the shop")),
    "iban": (gettext_lazy("IBAN"), 0, ""),
    "bic": (gettext_lazy("BIC"), 0, gettext_lazy("Banks abroad ask for it")),
    "endpoint": (
        gettext_lazy("Address for invoices as data"),
        0,
        gettext_lazy("Such as 9930:DE123456789. Empty: the e-mail for answers"),
    ),
}
"""Label, lines and hint of the shop's texts."""
CHOICE_LABELS = {
    "paper_size": gettext_lazy("Paper size"),
    "paper_units": gettext_lazy("Sizes on papers in"),
    "both_units": gettext_lazy("The other unit beside finished sizes"),
    "job_sheet_sources": gettext_lazy("Job sheet with sources of its figures"),
    "profit_as": gettext_lazy("Profit as"),
    "vat_basis": gettext_lazy("Tax is owed by the day of the"),
    "deposit_before_wood": gettext_lazy("Buy wood only after the deposit"),
    "pay_by": gettext_lazy("Clients usually pay by"),
    "invoice_file": gettext_lazy("Also send an invoice as a bare file"),
    "tax_name": gettext_lazy("Name of the tax"),
    "prices_include_tax": gettext_lazy("Prices are typed with the tax in them"),
}
ACCOUNT_LISTS: dict[str, tuple[Text, Text]] = {
    "income_accounts": (
        gettext_lazy("Income accounts"),
        gettext_lazy(
            "A line for each kind of tax, such as S: 4400. S taxed, Z zero rate, E exempt, AE reverse charge,"
            " K to another EU country, G export, O outside tax"
        ),
    ),
    "money_accounts": (
        gettext_lazy("Bank and cash accounts"),
        gettext_lazy("A line for each of cash, check, transfer, card, other, such as transfer: 1800"),
    ),
    "cost_accounts": (
        gettext_lazy("Cost accounts"),
        gettext_lazy("A line for each of lumber, finish, supplies, other, such as lumber: 5100"),
    ),
}
"""Label and hint of each list of accounts."""
HINTS: dict[str, Text] = {
    "interruptions_pct": gettext_lazy("Sweeping, sharpening, the phone; the plan leaves it free"),
    "quote_follow_up_days": gettext_lazy("0 for never"),
    "promise_margin_days": gettext_lazy("A quote proposes the 8 in 10 day and these on top"),
    "winter_rh_pct": gettext_lazy("Heated houses in a cold winter read 15 to 25"),
    "price_per_board_foot": gettext_lazy("Of every wood that has no price below"),
    "keep_papers_years": gettext_lazy("Of a client who was forgotten"),
    "paper_units": gettext_lazy("By country: inches in the US and Canada, else millimeters"),
    "tax_name": gettext_lazy("By country: sales tax in the US, else VAT"),
    "prices_include_tax": gettext_lazy("As consumers in the EU see them; a price that is set stays as it is"),
    "both_units": gettext_lazy("In parentheses, in specifications and final measurements"),
}
"""What a maker needs to choose; no other setting says more than its name and unit."""
PRICE_LISTS = {
    "lumber_prices": (
        gettext_lazy("A board foot by species"),
        gettext_lazy("A line each, such as black walnut: 14.50"),
    ),
    "joinery_prices": (
        gettext_lazy("Biscuits, dowels, tenons"),
        gettext_lazy("A line each, such as biscuit 20: 0.08 or dowel 3/8: 0.12"),
    ),
    "hardware_prices": (
        gettext_lazy("Parts"),
        gettext_lazy(
            "A line each, such as bolt with insert: 1.40; also steel channel, breadboard peg, screw with"
            " washer, table button, figure-eight"
        ),
    ),
}
QUOTED_LABELS = {
    "quote_included": gettext_lazy("Included"),
    "quote_excluded": gettext_lazy("Not included"),
}
LIST_LABELS = {
    "places": (
        gettext_lazy("Places where the air is measured"),
        gettext_lazy("With commas between; the first one counts where none is named"),
    ),
    "stocked_thicknesses": (
        gettext_lazy("Rough thicknesses that the yard stocks"),
        gettext_lazy("With commas between, such as 4/4, 8/4 or 26 mm"),
    ),
}
SECTIONS: dict[str, tuple[Text, Text, tuple[str, ...]]] = {
    "shop": (
        gettext_lazy("Name and address"),
        gettext_lazy("As they stand on papers and mails"),
        ("name", "address", "postcode", "city", "country", "contact", "email", "tax_id"),
    ),
    "money": (
        gettext_lazy("Currency, tax, deposit"),
        gettext_lazy("What a price and a quote start from"),
        (
            "currency",
            "tax_pct",
            "tax_name",
            "prices_include_tax",
            "exempt_reason",
            "deposit_pct",
            "deposit_before_wood",
            "quote_valid_days",
            "quote_follow_up_days",
            "promise_margin_days",
        ),
    ),
    "quotes": (
        gettext_lazy("Quotes"),
        gettext_lazy("What every quote includes, and what it does not"),
        ("quote_included", "quote_excluded"),
    ),
    "papers": (
        gettext_lazy("Invoices and papers"),
        gettext_lazy("How to pay, terms, size of paper, inches or millimeters"),
        (
            "payment",
            "terms",
            "invoice_due_days",
            "paper_size",
            "paper_units",
            "both_units",
            "job_sheet_sources",
            "keep_papers_years",
        ),
    ),
    "terms": (
        gettext_lazy("Terms by country"),
        gettext_lazy("Retention of title, withdrawal, payment, for clients abroad"),
        ("terms_abroad",),
    ),
    "look": (
        gettext_lazy("Look of papers"),
        gettext_lazy("Logo and color"),
        ("paper_color",),
    ),
    "paying": (
        gettext_lazy("Bank account, invoices as data"),
        gettext_lazy("For the code to scan on an invoice, and for bookkeeping that reads invoices itself"),
        (
            "pay_by",
            "account_name",
            "iban",
            "bic",
            "person",
            "phone",
            "endpoint",
            "invoice_file",
        ),
    ),
    "rates": (
        gettext_lazy("Rates"),
        gettext_lazy("An hour of work, what it costs, overhead, profit"),
        ("hourly_rate", "hour_cost", "helper_hour_cost", "overhead_pct", "profit_pct", "profit_as"),
    ),
    "books": (
        gettext_lazy("Bookkeeping"),
        gettext_lazy("When tax is owed, the bookkeeper's accounts"),
        ("vat_basis", "income_accounts", "money_accounts", "cost_accounts"),
    ),
    "wood": (
        gettext_lazy("Wood and its price"),
        gettext_lazy("A board foot by species, waste, what the yard stocks"),
        ("price_per_board_foot", "lumber_prices", "waste_pct", "stocked_thicknesses"),
    ),
    "finish": (
        gettext_lazy("Glue, finish and parts"),
        gettext_lazy("What each costs"),
        ("finish_prices", "glue_prices", "glue_kg_prices", "joinery_prices", "hardware_prices", "disc_price"),
    ),
    "hours": (
        gettext_lazy("Hours"),
        gettext_lazy("When the day begins and ends, when to write to clients"),
        ("morning", "closing_time", "interruptions_pct", "tell_client_days"),
    ),
    "hands": (
        gettext_lazy("Hands and machines"),
        gettext_lazy("How many people, how wide the machines are"),
        ("people_at_hand", "planer_width", "jointer_width"),
    ),
    "air": (
        gettext_lazy("Air"),
        gettext_lazy("Usual air in the shop, and where tops live"),
        ("places", "shop_c", "shop_rh_pct", "indoor_c", "winter_rh_pct", "summer_rh_pct"),
    ),
}
"""Title, what it is for, and the settings of each section."""
SECTION_OF = {setting: section for section, (_t, _w, settings) in SECTIONS.items() for setting in settings}


def setting_page(setting: str) -> str:
    """Return the address of the field of a setting."""
    return f"{reverse('web:shop-section', args=[SECTION_OF[setting]])}#id_{setting}"
