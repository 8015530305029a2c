"""Work in the background."""

from django.urls import path

from claims.views import jobs

urlpatterns = [
    path("background/", jobs.job_list, name="job_list"),
    path("background/<int:pk>/", jobs.job_detail, name="job_detail"),
    path("background/<int:pk>/file/", jobs.job_file, name="job_file"),
    path("background/<int:pk>/anew/", jobs.job_anew, name="job_anew"),
]
