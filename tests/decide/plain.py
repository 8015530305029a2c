"""The stopping table by plain loops over every count: slow, obvious, and written apart."""

from math import exp, lgamma, log


def chance(x, number, stay):
    """Negative binomial probability of x."""
    logs = lgamma(number + x) - lgamma(number) - lgamma(x + 1)
    return exp(logs + number * log(stay) + (x * log(1 - stay) if x else 0.0))


def plain_table(shape, rate, pans, stakes, phi=1.0, most=40):
    """(value at the start, action by (pans done, colours)); the tail goes to the highest count."""
    actions, after = {}, None
    for done in range(len(pans), -1, -1):
        left = stakes.hours - sum(pan.hours for pan in pans[:done])
        washed = sum(pan.litres for pan in pans[:done])
        moving = max(0.0, left - stakes.move_hours) * stakes.fallback
        values = []
        for y in range(most + 1):
            a, b = shape + y / phi, rate + washed / phi
            choices = {
                "dig": max(0.0, left) * (stakes.gain * a / b - stakes.cost),
                "low": max(moving, 0.0),
            }
            if done < len(pans) and left - pans[done].hours > 0:
                v = pans[done].litres
                mean = v * a / b
                variance = phi * mean + (v / b) ** 2 * a
                number = mean**2 / (variance - mean)
                stay = number / (number + mean)
                total = spent = 0.0
                for x in range(most - y):
                    p = chance(x, number, stay)
                    spent += p
                    total += p * after[y + x]
                choices["pan"] = total + (1 - spent) * after[most]
            best = max(choices, key=lambda name: (choices[name], name == "dig"))
            values.append(choices[best])
            actions[done, y] = best
        after = values
    return after[0], actions
