"""Route templates: data files that say which stages a piece goes through.

A file is TOML. Files in this folder come with the service. Files in the shop's own folder add to them and may
replace one by using its key. A piece takes the template as it stands on that day. Its event stores the
stages, so a later change of the file affects no running piece.
"""

from jobs.domain.routes.clampings import Clamping, clampings_of, laid_clampings
from jobs.domain.routes.expansion import MOST_STAGES, Choices, bare_stage, expand, with_holds
from jobs.domain.routes.known_routes import Unusable, all_routes, read_route, route, route_files, unusable
from jobs.domain.routes.schema import Route, cautions, read_text
from jobs.domain.routes.what_to_do import what_to_do

__all__ = [
    "MOST_STAGES", "Choices", "Clamping", "Route", "Unusable", "all_routes", "bare_stage", "cautions",
    "clampings_of", "expand", "laid_clampings", "read_route", "read_text", "route", "route_files",
    "unusable", "what_to_do", "with_holds",
]  # fmt: skip
