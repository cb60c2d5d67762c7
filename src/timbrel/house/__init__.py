"""Several vaults of one house: one order, one crew's programme, one quote."""

from timbrel.house.plan import HousePlan, VaultOfHouse, plan_house

__all__ = ["HousePlan", "VaultOfHouse", "plan_house"]
