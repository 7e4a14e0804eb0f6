"""Addresses of the API, version 1: each noun has its own beside its views."""

from jobs.api.billing import offer_views
from jobs.api.billing import views as billing_views
from jobs.api.books import views as book_views
from jobs.api.calculations import views as calculation_views
from jobs.api.clients import update_views
from jobs.api.clients import views as client_views
from jobs.api.climate import views as climate_views
from jobs.api.commissions import hours_views
from jobs.api.commissions import views as commission_views
from jobs.api.notes import picture_views
from jobs.api.notes import views as note_views
from jobs.api.papers import views as paper_views
from jobs.api.papers import work_paper_views
from jobs.api.pieces import drawing_views, job_sheet_views
from jobs.api.pieces import views as piece_views
from jobs.api.planning import plan_views, promise_views
from jobs.api.planning import views as planning_views
from jobs.api.reminders import views as reminder_views
from jobs.api.service import about, health, history, search
from jobs.api.stages import equipment_views, route_views, safety_views, wait_views
from jobs.api.stages import views as stage_views
from jobs.api.stock import supply_views
from jobs.api.stock import views as board_views
from jobs.api.working_time import views as working_time_views
from jobs.api.workshop import people_views
from jobs.api.workshop import views as workshop_views

app_name = "api"
urlpatterns = [
    *health.ROUTES, *people_views.ROUTES, *reminder_views.ROUTES, *workshop_views.ROUTES,
    *client_views.ROUTES, *commission_views.ROUTES, *update_views.ROUTES, *hours_views.ROUTES,
    *offer_views.ROUTES, *billing_views.ROUTES, *book_views.ROUTES,
    *piece_views.ROUTES, *job_sheet_views.ROUTES,
    *drawing_views.ROUTES, *stage_views.ROUTES, *route_views.ROUTES,
    *note_views.ROUTES, *picture_views.ROUTES,
    *paper_views.ROUTES, *work_paper_views.ROUTES, *board_views.ROUTES, *supply_views.ROUTES,
    *equipment_views.ROUTES, *wait_views.ROUTES, *safety_views.ROUTES,
    *planning_views.ROUTES, *plan_views.ROUTES, *promise_views.ROUTES, *working_time_views.ROUTES,
    *climate_views.ROUTES,
    *calculation_views.ROUTES, *history.ROUTES, *search.ROUTES, *about.ROUTES, about.NOWHERE,
]  # fmt: skip
