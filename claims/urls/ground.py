"""Sites, spots, holes, papers, and the files that belong to them."""

from django.urls import path

from claims.views import conditions, files, holes, papers, shapes, sites

urlpatterns = [
    path("sites/", sites.site_list, name="site_list"),
    path("sites/new/", sites.site_create, name="site_create"),
    path("first-steps/site/", sites.first_site, name="first_site"),
    path("sites/<int:pk>/edit/", sites.site_edit, name="site_edit"),
    path("sites/<int:pk>/shape/", shapes.site_shape, name="site_shape"),
    path("sites/<int:pk>/spots/new/", sites.spot_create, name="spot_create"),
    path("spots/<int:pk>/", sites.spot_detail, name="spot_detail"),
    path("spots/<int:pk>/files/new/", files.spot_files_create, name="spot_files_create"),
    path("spots/<int:pk>/edit/", sites.spot_edit, name="spot_edit"),
    path("holes/", holes.hole_list, name="hole_list"),
    path("holes/new/", holes.hole_create, name="hole_create"),
    path("holes/<int:pk>/", holes.hole_detail, name="hole_detail"),
    path("holes/<int:pk>/files/new/", files.hole_files_create, name="hole_files_create"),
    path("holes/<int:pk>/edit/", holes.hole_edit, name="hole_edit"),
    path("holes/<int:pk>/fill/", holes.hole_fill, name="hole_fill"),
    path("papers/", papers.paper_list, name="paper_list"),
    path("papers/new/", papers.paper_create, name="paper_create"),
    path("papers/<int:pk>/", papers.paper_detail, name="paper_detail"),
    path("papers/<int:pk>/edit/", papers.paper_edit, name="paper_edit"),
    path("papers/<int:pk>/files/new/", files.paper_files_create, name="paper_files_create"),
    path("files/<int:pk>/", files.file_show, name="file_show"),
    path("files/<int:pk>/small/", files.file_small, name="file_small"),
    path("files/<int:pk>/edit/", files.file_edit, name="file_edit"),
    path("files/<int:pk>/delete/", files.file_delete, name="file_delete"),
    path(
        "papers/<int:pk>/conditions/take-apart/",
        conditions.paper_take_apart,
        name="paper_take_apart",
    ),
    path("papers/<int:pk>/conditions/new/", conditions.condition_create, name="condition_create"),
    path("conditions/<int:pk>/edit/", conditions.condition_edit, name="condition_edit"),
    path("conditions/<int:pk>/delete/", conditions.condition_delete, name="condition_delete"),
    path("conditions/<int:pk>/kept/", conditions.mark_create, name="mark_create"),
    path("kept/<int:pk>/edit/", conditions.mark_edit, name="mark_edit"),
    path("kept/<int:pk>/files/new/", files.mark_files_create, name="mark_files_create"),
    path("kept/<int:pk>/delete/", conditions.mark_delete, name="mark_delete"),
]
