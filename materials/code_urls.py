"""The address that labels carry, as short as it can be, so that a code of a few millimetres holds it."""

from django.urls import path

from materials.views.codes import code_open

urlpatterns = [path("<slug:code>", code_open, name="code_open")]
