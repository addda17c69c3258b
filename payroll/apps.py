"""What payroll adds to the program when it starts."""

from __future__ import annotations

from django.apps import AppConfig


class PayrollConfig(AppConfig):
    """Pay knows closed weeks and rates, and says so of entries that touch them."""

    name = "payroll"

    def ready(self) -> None:
        from jobs.notices import day_notice_maker_add, notice_maker_add
        from payroll.selectors.entry_notices import notices_of_day, notices_of_pay

        notice_maker_add(notices_of_pay)
        day_notice_maker_add(notices_of_day)
