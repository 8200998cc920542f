"""What everything speaks of: shop, orders, instance, schedule, plan, faults. Standard library only."""
