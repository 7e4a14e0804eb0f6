"""Addresses of the API, version 1."""

from django.urls import path, re_path, register_converter
from drf_spectacular.views import SpectacularSwaggerSplitView

from jobs.api.billing import offer_views
from jobs.api.billing import views as billing_views
from jobs.api.calculations import views as calculations_views
from jobs.api.clients import update_views
from jobs.api.clients import views as clients_views
from jobs.api.climate import views as climate_views
from jobs.api.commissions import hours_views
from jobs.api.commissions import views as commissions_views
from jobs.api.kit.converters import Key
from jobs.api.kit.permissions import Anyone
from jobs.api.notes import picture_views
from jobs.api.notes import views as notes_views
from jobs.api.papers import views as papers_views
from jobs.api.papers import work_paper_views
from jobs.api.pieces import job_sheet_views
from jobs.api.pieces import views as pieces_views
from jobs.api.reminders import views as reminders_views
from jobs.api.service import about, health, history
from jobs.api.stages import equipment_views, route_views, safety_views, wait_views
from jobs.api.stock import supply_views
from jobs.api.stock import views as stock_views
from jobs.api.workshop import people_views
from jobs.api.workshop import views as workshop_views

register_converter(Key, "key")

app_name = "api"
COMMISSION = "commissions/<str:commission>/"
STAGE = "pieces/<str:piece>/stages/<str:stage>/"
urlpatterns = [
    path("health", health.HealthView.as_view(), name="health"),
    path("health/", health.HealthSlashView.as_view(), name="health-slash"),
    path("me/", people_views.MeView.as_view(), name="me"),
    path("me/reminders/", reminders_views.WishesView.as_view(), name="wishes"),
    path("me/push/", reminders_views.PushView.as_view(), name="push"),
    path("me/push/test/", reminders_views.PushTestView.as_view(), name="push-test"),
    path("me/push/<key:address>/", reminders_views.PushAddressView.as_view(), name="push-address"),
    path("people/", people_views.PeopleView.as_view(), name="people"),
    path("people/<str:person>/", people_views.PersonView.as_view(), name="person"),
    path("tokens/", people_views.TokensView.as_view(), name="tokens"),
    path("tokens/<key:token>/", people_views.TokenView.as_view(), name="token"),
    path("shop/", workshop_views.ShopView.as_view(), name="shop"),
    path("sheets/", workshop_views.SheetsView.as_view(), name="sheets"),
    path("sheets/<str:kind>/<str:sheet>/", workshop_views.SheetView.as_view(), name="sheet"),
    path("length/", workshop_views.LengthView.as_view(), name="length"),
    path("species/", workshop_views.SpeciesView.as_view(), name="species"),
    path("routes/", workshop_views.RoutesView.as_view(), name="routes"),
    path("clients/", clients_views.ClientsView.as_view(), name="clients"),
    path("clients/<key:client>/", clients_views.ClientView.as_view(), name="client"),
    path(
        "clients/<key:client>/everything/", clients_views.EverythingView.as_view(), name="client-everything"
    ),
    path("clients/<key:client>/forget/", clients_views.ForgetView.as_view(), name="forget-client"),
    path("commissions/", commissions_views.CommissionsView.as_view(), name="commissions"),
    path(COMMISSION, commissions_views.CommissionView.as_view(), name="commission"),
    path(f"{COMMISSION}accept/", commissions_views.AcceptOrderView.as_view(), name="accept-order"),
    path(f"{COMMISSION}take-back/", commissions_views.TakeBackView.as_view(), name="take-back"),
    path(f"{COMMISSION}move/", commissions_views.MoveView.as_view(), name="move"),
    path(f"{COMMISSION}price/", commissions_views.PriceView.as_view(), name="price"),
    path(f"{COMMISSION}payments/", commissions_views.PaymentsView.as_view(), name="payments"),
    path(f"{COMMISSION}repayments/", billing_views.RepaymentsView.as_view(), name="repayments"),
    path(f"{COMMISSION}events/", commissions_views.CommissionEventsView.as_view(), name="commission-events"),
    path(f"{COMMISSION}pieces/", pieces_views.PiecesView.as_view(), name="pieces"),
    path(f"{COMMISSION}checklist/", papers_views.ChecklistView.as_view(), name="checklist"),
    path(f"{COMMISSION}job-sheet/", work_paper_views.JobSheetPaperView.as_view(), name="issue-job-sheet"),
    path(f"{COMMISSION}care-sheet/", work_paper_views.CareSheetPaperView.as_view(), name="issue-care-sheet"),
    path(f"{COMMISSION}invoice/", papers_views.InvoiceView.as_view(), name="invoice"),
    path(f"{COMMISSION}updates/", update_views.UpdatesView.as_view(), name="updates"),
    path(f"{COMMISSION}updates/draft/", update_views.UpdateDraftView.as_view(), name="update-draft"),
    path(
        f"{COMMISSION}questions/", update_views.CommissionQuestionsView.as_view(), name="commission-questions"
    ),
    path(f"{COMMISSION}client-link/", update_views.ClientLinkView.as_view(), name="client-link"),
    path(
        f"{COMMISSION}client-link/<key:link>/",
        update_views.OneClientLinkView.as_view(),
        name="one-client-link",
    ),
    path("questions/", update_views.QuestionsView.as_view(), name="questions"),
    path(
        "questions/<key:question>/settle/", update_views.QuestionSettleView.as_view(), name="question-settle"
    ),
    path(f"{COMMISSION}draft/<str:kind>/", papers_views.DraftView.as_view(), name="draft"),
    path(f"{COMMISSION}quotes/", offer_views.QuotesView.as_view(), name="quotes"),
    path(f"{COMMISSION}change-orders/", offer_views.ChangeOrdersView.as_view(), name="change-orders"),
    path(f"{COMMISSION}deposit/", offer_views.DepositView.as_view(), name="deposit"),
    path("quotes/<str:offer>/", offer_views.QuoteView.as_view(), name="quote"),
    path("quotes/<str:offer>/issue/", offer_views.QuoteIssueView.as_view(), name="quote-issue"),
    path("quotes/<str:offer>/revise/", offer_views.QuoteReviseView.as_view(), name="quote-revise"),
    path("quotes/<str:offer>/accept/", offer_views.QuoteAcceptView.as_view(), name="quote-accept"),
    path("quotes/<str:offer>/decline/", offer_views.QuoteDeclineView.as_view(), name="quote-decline"),
    path("change-orders/<str:offer>/", offer_views.ChangeOrderView.as_view(), name="change-order"),
    path("change-orders/<str:offer>/issue/", offer_views.ChangeIssueView.as_view(), name="change-issue"),
    path("change-orders/<str:offer>/revise/", offer_views.ChangeReviseView.as_view(), name="change-revise"),
    path("change-orders/<str:offer>/accept/", offer_views.ChangeAcceptView.as_view(), name="change-accept"),
    path(
        "change-orders/<str:offer>/decline/", offer_views.ChangeDeclineView.as_view(), name="change-decline"
    ),
    path("pieces/<str:piece>/", pieces_views.PieceView.as_view(), name="piece"),
    path("pieces/<str:piece>/job-sheet/", job_sheet_views.JobSheetView.as_view(), name="job-sheet"),
    path("pieces/<str:piece>/drawing.svg", job_sheet_views.DrawingView.as_view(), name="drawing"),
    path(f"{STAGE}start/", pieces_views.StageStartView.as_view(), name="start"),
    path(f"{STAGE}finish/", pieces_views.StageFinishView.as_view(), name="finish"),
    path(f"{STAGE}put-back/", pieces_views.StagePutBackView.as_view(), name="put-back"),
    path(f"{STAGE}reopen/", pieces_views.StageReopenView.as_view(), name="reopen"),
    path(f"{STAGE}pause/", pieces_views.StagePauseView.as_view(), name="pause"),
    path(f"{STAGE}resume/", pieces_views.StageResumeView.as_view(), name="resume"),
    path(f"{STAGE}skip/", pieces_views.StageSkipView.as_view(), name="skip"),
    path(f"{STAGE}redo/", pieces_views.StageRedoView.as_view(), name="redo"),
    path(f"{STAGE}correct/", pieces_views.StageCorrectView.as_view(), name="correct"),
    path(f"{STAGE}measure/", pieces_views.StageMeasureView.as_view(), name="measure"),
    path("pieces/<str:piece>/route/", route_views.PieceRouteView.as_view(), name="piece-route"),
    path(
        "pieces/<str:piece>/route/<str:stage>/", route_views.PieceRouteStageView.as_view(), name="route-stage"
    ),
    path(
        "pieces/<str:piece>/route/<str:stage>/move/",
        route_views.PieceRouteMoveView.as_view(),
        name="route-move",
    ),
    path("templates/", route_views.TemplatesView.as_view(), name="templates"),
    path("templates/<str:template>/", route_views.TemplateView.as_view(), name="template"),
    path(f"{STAGE}free-clamps/", equipment_views.FreeClampsView.as_view(), name="free-clamps"),
    path("pieces/<str:piece>/label/", work_paper_views.PieceLabelView.as_view(), name="piece-label"),
    path("shopping/", work_paper_views.ShoppingView.as_view(), name="shopping"),
    path("shopping/pdf/", work_paper_views.ShoppingPdfView.as_view(), name="shopping-pdf"),
    path("boards/labels/", work_paper_views.BoardLabelsView.as_view(), name="board-labels"),
    path("boards/", stock_views.BoardsView.as_view(), name="boards"),
    path("boards/<key:board>/", stock_views.BoardView.as_view(), name="board"),
    path("boards/<key:board>/moisture/", stock_views.MoistureView.as_view(), name="board-moisture"),
    path(
        "boards/<key:board>/moisture/<key:reading>/void/",
        stock_views.VoidMoistureView.as_view(),
        name="board-moisture-void",
    ),
    path("boards/<key:board>/reserve/", stock_views.ReserveView.as_view(), name="board-reserve"),
    path("boards/<key:board>/release/", stock_views.ReleaseView.as_view(), name="board-release"),
    path("boards/<key:board>/use/", stock_views.UseView.as_view(), name="board-use"),
    path("boards/<key:board>/offcut/", stock_views.OffcutView.as_view(), name="board-offcut"),
    path("boards/<key:board>/write-off/", stock_views.WriteOffView.as_view(), name="board-write-off"),
    path("supplies/", supply_views.SuppliesView.as_view(), name="supplies"),
    path("supplies/<key:supply>/", supply_views.SupplyView.as_view(), name="supply"),
    path("supplies/<key:supply>/open/", supply_views.OpenView.as_view(), name="supply-open"),
    path("supplies/<key:supply>/level/", supply_views.LevelView.as_view(), name="supply-level"),
    path("supplies/<key:supply>/refill/", supply_views.RefillView.as_view(), name="supply-refill"),
    path("supplies/<key:supply>/discard/", supply_views.DiscardView.as_view(), name="supply-discard"),
    path("equipment/", equipment_views.EquipmentsView.as_view(), name="equipment"),
    path("equipment/<key:equipment>/", equipment_views.EquipmentView.as_view(), name="equipment-one"),
    path("equipment/<key:equipment>/retire/", equipment_views.RetireView.as_view(), name="equipment-retire"),
    path("waits/", wait_views.WaitsView.as_view(), name="waits"),
    path("waits/<key:wait>/finish/", wait_views.WaitFinishView.as_view(), name="wait-finish"),
    path("waits/<key:wait>/correct-start/", wait_views.WaitStartView.as_view(), name="wait-start"),
    path("reminders/", wait_views.RemindersView.as_view(), name="reminders"),
    path("reminders/acknowledge/", wait_views.AcknowledgeView.as_view(), name="acknowledge"),
    path("reminders/snooze/", wait_views.SnoozeView.as_view(), name="snooze"),
    path("reminders/undelivered/", wait_views.UndeliveredView.as_view(), name="undelivered"),
    path("reminders/undelivered/<key:delivery>/resend/", wait_views.ResendView.as_view(), name="resend"),
    path("safety/", safety_views.SafetyView.as_view(), name="safety"),
    path("safety/<key:task>/settle/", safety_views.SettleView.as_view(), name="settle"),
    path("safety/<key:task>/put-off/", safety_views.PutOffView.as_view(), name="put-off"),
    path("pieces/<str:piece>/notes/", notes_views.PieceNotesView.as_view(), name="piece-notes"),
    path(
        "pieces/<str:piece>/notes/<key:note>/dismiss/",
        notes_views.PieceNoteDismissView.as_view(),
        name="note-dismiss",
    ),
    path(f"{STAGE}notes/", notes_views.StageNotesView.as_view(), name="stage-notes"),
    path(f"{STAGE}pictures/", picture_views.StagePicturesView.as_view(), name="stage-pictures"),
    path("pieces/<str:piece>/pictures/", picture_views.PiecePicturesView.as_view(), name="piece-pictures"),
    path("pictures/<key:picture>/", picture_views.PictureView.as_view(), name="picture"),
    path("pictures/<key:picture>/remove/", picture_views.PictureRemoveView.as_view(), name="picture-remove"),
    path("notes/", notes_views.NotesView.as_view(), name="notes"),
    path("notes/<key:note>/", notes_views.NoteView.as_view(), name="note"),
    path("notes/<key:note>/retire/", notes_views.NoteRetireView.as_view(), name="note-retire"),
    path("notes/<key:note>/picture/", notes_views.NotePictureView.as_view(), name="note-picture"),
    path("hours/", hours_views.HoursView.as_view(), name="hours"),
    path("hours/rates/", hours_views.OwnRatesView.as_view(), name="own-rates"),
    path(f"{COMMISSION}hours/", hours_views.QuotedHoursView.as_view(), name="commission-hours"),
    path("papers/", papers_views.PapersView.as_view(), name="papers"),
    path("papers/<str:paper>/", papers_views.PaperView.as_view(), name="paper"),
    path("papers/<str:paper>/pdf/", papers_views.PdfView.as_view(), name="pdf"),
    path("papers/<str:paper>/credit/", papers_views.CreditView.as_view(), name="credit"),
    path("papers/<str:paper>/withdraw/", papers_views.WithdrawView.as_view(), name="withdraw"),
    path("payments/<key:payment>/void/", billing_views.VoidView.as_view(), name="void-payment"),
    path("payments/<key:payment>/receipt/", billing_views.ReceiptView.as_view(), name="receipt"),
    path("clients/<key:client>/statement/", billing_views.StatementView.as_view(), name="statement"),
    path("receivables/", billing_views.ReceivablesView.as_view(), name="receivables"),
    path("bookkeeping/<key:year>/", billing_views.YearView.as_view(), name="bookkeeping"),
    path("bench/", wait_views.BenchView.as_view(), name="bench"),
    path("climate/", climate_views.ClimateView.as_view(), name="climate"),
    path("readings/", climate_views.ReadingsView.as_view(), name="readings"),
    path("readings/<key:reading>/void/", climate_views.VoidView.as_view(), name="reading-void"),
    path("calcs/", calculations_views.CalcsView.as_view(), name="calcs"),
    *(
        path(f"calcs/{name}/", view.as_view(), name=f"calc-{name}")
        for name, view in calculations_views.VIEWS.items()
    ),
    path("calcs/<str:name>/", calculations_views.UnknownCalcView.as_view(), name="calc-unknown"),
    path("events/", history.EventsView.as_view(), name="events"),
    path("log/", history.LogView.as_view(), name="log"),
    path("problems/<str:code>/", about.ProblemView.as_view(), name="problem"),
    path(
        "schema/",
        about.SchemaView.as_view(),
        name="schema",
    ),
    path(
        "docs/",
        SpectacularSwaggerSplitView.as_view(url_name="api:schema", permission_classes=(Anyone,)),
        name="docs",
    ),
    re_path("", about.UnknownView.as_view(), name="unknown"),
]
