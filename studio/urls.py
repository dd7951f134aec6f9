"""Every address of the app."""

from django.urls import include, path

urlpatterns = [
    path("", include("studio.web_urls")),
    path("stock/", include("materials.urls")),
    path("c/", include("materials.code_urls")),
    path("", include("jobs.urls")),
    path("", include("costing.urls")),
]

handler400 = "studio.views.errors.bad_request"
handler403 = "studio.views.errors.forbidden"
handler404 = "studio.views.errors.not_found"
handler500 = "studio.views.errors.server_error"
