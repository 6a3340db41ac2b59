from django.apps import AppConfig


class BilletsConfig(AppConfig):
    name = "billets"
