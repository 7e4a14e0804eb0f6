"""The rooms of the house in their order: a file imports from its own room and from rooms before it."""

CALCS = (
    "calcs.tables", "calcs.kit", "calcs.materials", "calcs.asking", "calcs.wood", "calcs.lumber",
    "calcs.curing", "calcs.joints", "calcs.glue_up", "calcs.finish", "calcs.handling",
    "calcs.structure", "calcs.money", "calcs.drawing", "calcs.planning", "calcs",
)  # fmt: skip
DOMAIN = (
    "settings", "lookups", "checks", "gate_rules", "lifecycle", "stock", "climate", "papers", "routes",
    "pieces", "waits", "stages", "notes", "commissions", "billing", "quoting", "books", "workshop", "clients",
    "working_time", "planning", "promising", "reminders", "overviews", "search",
)  # fmt: skip
ROOMS = (
    *CALCS, "jobs.core", "jobs.models", "jobs.log.projections", "jobs.log",
    *(f"jobs.domain.{room}" for room in DOMAIN),
    "jobs.documents.kit", "jobs.documents", "jobs.worker", "jobs.api.kit", "jobs.api", "jobs.web.kit",
    "jobs.web", "jobs.management", "jobs.apps",
)  # fmt: skip
