"""The addresses of all screens; UUIDs and words only, never a database id."""

from django.urls import include, path

from coordination.web.views import first_sheet, frame, links, signing_in, sites

urlpatterns = [
    # coming in
    path("", signing_in.home, name="home"),
    path("sign-in", signing_in.sign_in, name="sign-in"),
    path("sign-in/sent", signing_in.sign_in_sent, name="sign-in-sent"),
    path("sign-out", signing_in.sign_out, name="sign-out"),
    path("l/<str:token>", signing_in.link, name="link"),
    path("i18n/", include("django.conf.urls.i18n")),
    # sites and their first sheet
    path("sites/", sites.index, name="sites"),
    path("sites/<uuid:project>/", first_sheet.show, name="project"),
    path("sites/<uuid:project>/links", links.index, name="links"),
    path("sites/<uuid:project>/links/<uuid:link>", links.revoke, name="link-revoke"),
    # the frame
    path("help", frame.help_page, name="help"),
    path("components/", frame.components, name="components"),
]
