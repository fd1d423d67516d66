"""The addresses of all screens; UUIDs and words only, never a database id."""

from django.urls import include, path

from coordination.web.views import facts, first_sheet, frame, links, media, signing_in, sites

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
    # facts and the plan that follows from them
    path("sites/<uuid:project>/facts", facts.edit, name="facts"),
    path("sites/<uuid:project>/links", links.index, name="links"),
    path("sites/<uuid:project>/links/<uuid:link>", links.revoke, name="link-revoke"),
    # pictures and papers that were handed in
    path("media/<uuid:evidence>", media.figure_of, name="media-figure"),
    path("media/<uuid:evidence>/<str:size>", media.picture, name="media"),
    # the frame
    path("help", frame.help_page, name="help"),
    path("components/", frame.components, name="components"),
]
