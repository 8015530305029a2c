"""The three questions: Where next? Does it pay? What did this site give?"""

from django.urls import path

from reports.views import answers, purchase

urlpatterns = [
    path("", answers.where_next, name="where_next"),
    path("scouting/", answers.scouting, name="scouting"),
    path("season-plan/", answers.season_plan, name="season_plan"),
    path("pay/", answers.does_it_pay, name="does_it_pay"),
    path("pay/sites/", answers.site_returns, name="site_returns"),
    path("pay/sites/<str:fmt>/", answers.site_returns_file, name="site_returns_file"),
    path("pay/purchase/", purchase.purchase, name="purchase"),
    path("pay/ladder/", answers.pay_ladder, name="pay_ladder"),
    path("pay/ladder/<str:fmt>/", answers.pay_ladder_file, name="pay_ladder_file"),
    path("sites/<int:pk>/", answers.site_page, name="site_page"),
]
