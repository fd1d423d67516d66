"""The addresses of all screens; UUIDs and words only, never a database id."""

from django.urls import path

from coordination.web.views import (
    authorities,
    calculators,
    calls,
    companies,
    crews,
    dates,
    delay,
    done_by,
    facts,
    feeds,
    first_sheet,
    frame,
    gates,
    handover,
    languages,
    letters,
    links,
    look_ahead,
    marks,
    media,
    my,
    new_site,
    order_of_work,
    own_gates,
    owner,
    packages,
    phone_app,
    places,
    record,
    reviews,
    rules,
    sending,
    signing_in,
    site_ready,
    sites,
    tasks,
    trade_sheets,
    visits,
    what_if,
    working_days,
)

urlpatterns = [
    # coming in
    path("", signing_in.home, name="home"),
    path("sign-in", signing_in.sign_in, name="sign-in"),
    path("sign-in/sent", signing_in.sign_in_sent, name="sign-in-sent"),
    path("sign-out", signing_in.sign_out, name="sign-out"),
    path("l/<str:token>", signing_in.link, name="link"),
    path("language", languages.choose, name="language"),
    # sites and their first sheet
    path("sites/", sites.index, name="sites"),
    path("sites/new", new_site.new, name="new-site"),
    path("sites/<uuid:project>/", first_sheet.show, name="project"),
    path("sites/<uuid:project>/places/<str:place>", places.show, name="place"),
    # facts and the plan that follows from them
    path("sites/<uuid:project>/facts", facts.edit, name="facts"),
    path("sites/<uuid:project>/questions", facts.questions, name="questions"),
    path("sites/<uuid:project>/questions/<str:fact>/letter", letters.show, name="letter"),
    path("sites/<uuid:project>/questions/<str:fact>/letter.txt", letters.plain, name="letter-text"),
    path("sites/<uuid:project>/questions/<str:fact>/letter.pdf", letters.download, name="letter-pdf"),
    path("sites/<uuid:project>/rules", rules.index, name="rules"),
    path("sites/<uuid:project>/rules/example.toml", rules.example, name="rules-example"),
    path("sites/<uuid:project>/rules/<slug:name>.toml", rules.download, name="rules-file"),
    path("sites/<uuid:project>/change", facts.change, name="change"),
    # what is to be done, by package
    path("sites/<uuid:project>/packages", packages.index, name="packages"),
    path("sites/<uuid:project>/tasks/<uuid:task>/dates", packages.set_dates, name="task-dates"),
    path("sites/<uuid:project>/packages/<str:package>/done-by", done_by.set_package, name="package-done-by"),
    path("sites/<uuid:project>/done-by", done_by.show, name="done-by"),
    path("sites/<uuid:project>/done-by/confirm", done_by.confirm, name="done-by-confirm"),
    path("sites/<uuid:project>/done-by.csv", done_by.download, name="done-by-table"),
    # when it can happen
    path("sites/<uuid:project>/three-weeks", look_ahead.show, name="look-ahead"),
    path("sites/<uuid:project>/three-weeks.pdf", look_ahead.download_all, name="look-ahead-all-pdf"),
    path("sites/<uuid:project>/three-weeks/<str:trade>.pdf", look_ahead.download, name="look-ahead-pdf"),
    path("sites/<uuid:project>/dates", dates.show, name="dates"),
    path("sites/<uuid:project>/order-of-work", order_of_work.set_order, name="order-of-work"),
    path("sites/<uuid:project>/what-if", what_if.show, name="what-if"),
    path("sites/<uuid:project>/delay", delay.show, name="delay"),
    path("sites/<uuid:project>/delay.pdf", delay.download, name="delay-pdf"),
    path("calls/", calls.index, name="calls"),
    path("calls/<uuid:project>", calls.log, name="call"),
    path("sites/<uuid:project>/visits", dates.visits, name="visits"),
    path("sites/<uuid:project>/visits/<str:visit>", visits.show, name="visit"),
    path("sites/<uuid:project>/visits/<str:visit>/site-ready", site_ready.show, name="site-ready"),
    path(
        "sites/<uuid:project>/visits/<str:visit>/site-ready.pdf", site_ready.download, name="site-ready-pdf"
    ),
    path("sites/<uuid:project>/working-days", working_days.index, name="working-days"),
    # everything that was decided
    path("sites/<uuid:project>/record", record.show, name="record"),
    # who works on the site
    path("sites/<uuid:project>/authorities", authorities.index, name="authorities"),
    path("sites/<uuid:project>/companies", companies.index, name="companies"),
    path("sites/<uuid:project>/links", links.index, name="links"),
    path("sites/<uuid:project>/links/<uuid:link>", links.revoke, name="link-revoke"),
    # what waits for a reviewer's word
    path("sites/<uuid:project>/reviews", reviews.queue, name="reviews"),
    path("sites/<uuid:project>/reviews/<uuid:requirement>", reviews.review, name="review"),
    # one task, and what is done to it
    path("sites/<uuid:project>/tasks/<uuid:task>", tasks.show, name="task"),
    path("sites/<uuid:project>/tasks/<uuid:task>/<str:verb>", tasks.do, name="task-doing"),
    path(
        "sites/<uuid:project>/requirements/<uuid:requirement>/<str:verb>",
        tasks.do_requirement,
        name="requirement-doing",
    ),
    path(
        "sites/<uuid:project>/handoffs/<uuid:offer>/<uuid:task>", tasks.answer_handoff, name="handoff-answer"
    ),
    # what a trade has to do at a place, on a sheet
    path("sites/<uuid:project>/trade-sheets/", trade_sheets.index, name="trade-sheets"),
    path(
        "sites/<uuid:project>/trade-sheets/<str:trade>.pdf",
        trade_sheets.download_trade,
        name="trade-sheets-pdf",
    ),
    path(
        "sites/<uuid:project>/trade-sheets/<str:trade>/<str:place>.pdf",
        trade_sheets.download,
        name="trade-sheet-pdf",
    ),
    path("sites/<uuid:project>/trade-sheets/<str:trade>/<str:place>", trade_sheets.show, name="trade-sheet"),
    # a trade's own pages
    path("my/<uuid:project>/", my.tasks, name="my-tasks"),
    path("my/<uuid:project>/tasks/<uuid:task>", my.task, name="my-task"),
    path("my/<uuid:project>/requirements/<uuid:requirement>", my.hand_in, name="my-handing-in"),
    path("my/<uuid:project>/requirements/<uuid:requirement>/reading", my.check, name="reading-check"),
    # the app on a phone, and what it sends from its own store
    path("app.webmanifest", phone_app.manifest, name="manifest"),
    path("worker.js", phone_app.worker, name="worker"),
    path("phone", phone_app.phone, name="phone"),
    path("sending/<uuid:project>/files/<uuid:key>", sending.file, name="sending-file"),
    path("sending/<uuid:project>/requirements/<uuid:requirement>", sending.evidence, name="sending-evidence"),
    path("sending/<uuid:project>/tasks/<uuid:task>/<str:verb>", sending.task, name="sending-task"),
    # pictures and papers that were handed in
    path("designs/<uuid:paper>", media.design, name="design"),
    path("photos/<uuid:evidence>", marks.show, name="photo"),
    path("photos/<uuid:evidence>/marks/<uuid:mark>/take-back", marks.take_back, name="mark-take-back"),
    path("media/<uuid:evidence>", media.figure_of, name="media-figure"),
    path("media/<uuid:evidence>/<str:size>", media.picture, name="media"),
    # crews over all sites of a supplier
    path("crews/<uuid:supplier>/", crews.show, name="crews"),
    path("crews/<uuid:supplier>/level", crews.level, name="crews-level"),
    path("crews/<uuid:supplier>/levellings/<uuid:levelling>/stop", crews.stop, name="crews-stop"),
    path("crews/<uuid:supplier>/enter", crews.enter, name="crews-entering"),
    # calendars at private addresses
    path("calendar/<str:token>.ics", feeds.feed, name="feed"),
    path("calendars/", feeds.calendars, name="calendars"),
    path("calendars/<uuid:link>/take-back", feeds.take_back, name="calendar-take-back"),
    path("my/<uuid:project>/calendar", feeds.my_calendar, name="my-calendar"),
    # gates
    path("sites/<uuid:project>/gates", gates.index, name="gates"),
    path("sites/<uuid:project>/gates/new", own_gates.new, name="own-gate"),
    path("sites/<uuid:project>/gates/<uuid:task>", gates.show, name="gate"),
    path("sites/<uuid:project>/gates/<uuid:task>/<str:verb>", gates.do, name="gate-doing"),
    # for people without an account: the owner, the inspector
    path("standing/<uuid:project>/", owner.standing, name="standing"),
    path("standing/<uuid:project>/concessions/<uuid:requirement>", owner.concede, name="owner-concession"),
    path("standing/<uuid:project>/granted/<uuid:concession>/end", owner.end, name="owner-concession-end"),
    path("handover/<uuid:project>/", handover.index, name="handover"),
    path("handover/<uuid:project>/results/<uuid:evidence>", handover.result, name="official-result"),
    path("handover/<uuid:project>/reports/<str:code>", handover.download, name="report"),
    path("handover/<uuid:project>/reports/<str:code>/remarks", handover.remark, name="remark"),
    # calculations without a project
    path("calculators/", calculators.index, name="calculators"),
    path("calculators/alarm/test-sheet.pdf", calculators.recall_test, name="recall-test"),
    path("calculators/<str:name>", calculators.show, name="calculator"),
    path("calculators/<str:name>/for/<uuid:project>", calculators.hand_in, name="calculator-hand-in"),
    # the frame
    path("help", frame.help_page, name="help"),
    path("components/", frame.components, name="components"),
]
