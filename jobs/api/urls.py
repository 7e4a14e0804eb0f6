"""Addresses of the API, version 1."""

from django.urls import path, re_path, register_converter
from drf_spectacular.views import SpectacularJSONAPIView, SpectacularSwaggerSplitView

from jobs.api.converters import Key
from jobs.api.permissions import Anyone
from jobs.api.views import about, clients, commissions, events, papers, people, pieces, routes, safety, shop, waits

register_converter(Key, "key")

app_name = "api"
COMMISSION = "commissions/<str:commission>/"
STAGE = "pieces/<str:piece>/stages/<str:stage>/"
urlpatterns = [
    path("me/", people.MeView.as_view(), name="me"),
    path("people/", people.PeopleView.as_view(), name="people"),
    path("people/<str:person>/", people.PersonView.as_view(), name="person"),
    path("tokens/", people.TokensView.as_view(), name="tokens"),
    path("tokens/<key:token>/", people.TokenView.as_view(), name="token"),
    path("shop/", shop.ShopView.as_view(), name="shop"),
    path("sheets/", shop.SheetsView.as_view(), name="sheets"),
    path("sheets/<str:kind>/<str:sheet>/", shop.SheetView.as_view(), name="sheet"),
    path("length/", shop.LengthView.as_view(), name="length"),
    path("species/", shop.SpeciesView.as_view(), name="species"),
    path("routes/", shop.RoutesView.as_view(), name="routes"),
    path("clients/", clients.ClientsView.as_view(), name="clients"),
    path("clients/<key:client>/", clients.ClientView.as_view(), name="client"),
    path("commissions/", commissions.CommissionsView.as_view(), name="commissions"),
    path(COMMISSION, commissions.CommissionView.as_view(), name="commission"),
    path(f"{COMMISSION}move/", commissions.MoveView.as_view(), name="move"),
    path(f"{COMMISSION}price/", commissions.PriceView.as_view(), name="price"),
    path(f"{COMMISSION}payments/", commissions.PaymentsView.as_view(), name="payments"),
    path(f"{COMMISSION}events/", commissions.CommissionEventsView.as_view(), name="commission-events"),
    path(f"{COMMISSION}pieces/", pieces.PiecesView.as_view(), name="pieces"),
    path(f"{COMMISSION}checklist/", papers.ChecklistView.as_view(), name="checklist"),
    path(f"{COMMISSION}invoice/", papers.InvoiceView.as_view(), name="invoice"),
    path(f"{COMMISSION}draft/<str:kind>/", papers.DraftView.as_view(), name="draft"),
    path("pieces/<str:piece>/", pieces.PieceView.as_view(), name="piece"),
    path(f"{STAGE}start/", pieces.StageStartView.as_view(), name="start"),
    path(f"{STAGE}finish/", pieces.StageFinishView.as_view(), name="finish"),
    path(f"{STAGE}put-back/", pieces.StagePutBackView.as_view(), name="put-back"),
    path(f"{STAGE}reopen/", pieces.StageReopenView.as_view(), name="reopen"),
    path(f"{STAGE}pause/", pieces.StagePauseView.as_view(), name="pause"),
    path(f"{STAGE}resume/", pieces.StageResumeView.as_view(), name="resume"),
    path(f"{STAGE}skip/", pieces.StageSkipView.as_view(), name="skip"),
    path(f"{STAGE}redo/", pieces.StageRedoView.as_view(), name="redo"),
    path(f"{STAGE}correct/", pieces.StageCorrectView.as_view(), name="correct"),
    path("pieces/<str:piece>/route/", routes.PieceRouteView.as_view(), name="piece-route"),
    path("pieces/<str:piece>/route/<str:stage>/", routes.PieceRouteStageView.as_view(), name="route-stage"),
    path("pieces/<str:piece>/route/<str:stage>/move/", routes.PieceRouteMoveView.as_view(), name="route-move"),
    path("templates/", routes.TemplatesView.as_view(), name="templates"),
    path("templates/<str:template>/", routes.TemplateView.as_view(), name="template"),
    path("waits/", waits.WaitsView.as_view(), name="waits"),
    path("waits/<key:wait>/finish/", waits.WaitFinishView.as_view(), name="wait-finish"),
    path("reminders/", waits.RemindersView.as_view(), name="reminders"),
    path("reminders/acknowledge/", waits.AcknowledgeView.as_view(), name="acknowledge"),
    path("reminders/snooze/", waits.SnoozeView.as_view(), name="snooze"),
    path("reminders/undelivered/", waits.UndeliveredView.as_view(), name="undelivered"),
    path("safety/", safety.SafetyView.as_view(), name="safety"),
    path("safety/<key:task>/settle/", safety.SettleView.as_view(), name="settle"),
    path("safety/<key:task>/put-off/", safety.PutOffView.as_view(), name="put-off"),
    path("papers/", papers.PapersView.as_view(), name="papers"),
    path("papers/<str:paper>/", papers.PaperView.as_view(), name="paper"),
    path("papers/<str:paper>/pdf/", papers.PdfView.as_view(), name="pdf"),
    path("papers/<str:paper>/withdraw/", papers.WithdrawView.as_view(), name="withdraw"),
    path("bench/", waits.BenchView.as_view(), name="bench"),
    path("events/", events.EventsView.as_view(), name="events"),
    path("log/", events.LogView.as_view(), name="log"),
    path("problems/<str:code>/", about.ProblemView.as_view(), name="problem"),
    path(
        "schema/",
        SpectacularJSONAPIView.as_view(permission_classes=(Anyone,)),
        name="schema",
    ),
    path(
        "docs/",
        SpectacularSwaggerSplitView.as_view(url_name="api:schema", permission_classes=(Anyone,)),
        name="docs",
    ),
    re_path("", about.UnknownView.as_view(), name="unknown"),
]
