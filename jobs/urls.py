"""Addresses of the jobs app."""

from django.urls import path

from jobs.views import clients, days, jobs, listing, overview, pieces, pulls, scans, sections, shape, stages, tape, tasks

app_name = "jobs"
urlpatterns = [
    path("jobs/", listing.jobs_list, name="jobs_list"),
    path("jobs/add/", jobs.job_add, name="job_add"),
    path("jobs/clients/", clients.clients_list, name="clients_list"),
    path("jobs/clients/add/", clients.client_add, name="client_add"),
    path("jobs/clients/<int:pk>/", clients.client_show, name="client_show"),
    path("jobs/clients/<int:pk>/change/", clients.client_change, name="client_change"),
    path("jobs/<int:number>/", overview.job_show, name="job_show"),
    path("jobs/<int:number>/change/", jobs.job_change, name="job_change"),
    path("jobs/<int:number>/move/", jobs.job_move, name="job_move"),
    path("jobs/<int:number>/piece/", pieces.piece_show, name="piece_show"),
    path("jobs/<int:number>/piece/change/", pieces.piece_change, name="piece_change"),
    path("jobs/<int:number>/piece/tape/", tape.tape_show, name="tape_show"),
    path("jobs/<int:number>/piece/sections/", sections.sections_show, name="sections_show"),
    path("jobs/<int:number>/piece/shape/", shape.shape_show, name="shape_show"),
    path("jobs/<int:number>/piece/shape/again/", shape.study_retry, name="study_retry"),
    path("jobs/<int:number>/piece/shape/mesh/", shape.shape_mesh, name="shape_mesh"),
    path("jobs/<int:number>/piece/shape/stills/<slug:name>.png", shape.shape_still, name="shape_still"),
    path("jobs/<int:number>/piece/takeoffs/<int:pk>/use/", pieces.takeoff_use, name="takeoff_use"),
    path("jobs/<int:number>/piece/scans/add/", scans.scan_add, name="scan_add"),
    path("jobs/<int:number>/piece/scans/<int:pk>/", scans.scan_show, name="scan_show"),
    path("jobs/<int:number>/piece/scans/<int:pk>/measure/", scans.scan_measure, name="scan_measure"),
    path("jobs/<int:number>/piece/scans/<int:pk>/again/", scans.scan_retry, name="scan_retry"),
    path("jobs/<int:number>/piece/scans/<int:pk>/remove/", scans.scan_remove, name="scan_remove"),
    path("jobs/<int:number>/mold/", stages.mold_show, name="mold_show"),
    path("jobs/<int:number>/coats/", stages.coats_show, name="coats_show"),
    path("jobs/<int:number>/shell/", stages.shell_show, name="shell_show"),
    path("jobs/<int:number>/shell/pulls/", pulls.pulls_show, name="pulls_show"),
    path("jobs/<int:number>/castings/", stages.castings_show, name="castings_show"),
    path("jobs/<int:number>/undo/", stages.plan_undo, name="plan_undo"),
    path("jobs/<int:number>/tasks/", tasks.tasks_show, name="tasks_show"),
    path("jobs/<int:number>/days/", days.job_days_show, name="job_days_show"),
    path("jobs/<int:number>/days/handout/", days.handout_print, name="handout_print"),
    path("days/", days.days_show, name="days_show"),
]
