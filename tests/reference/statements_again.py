"""Does every sum of printed statements again, from nothing but the text of the page, as a reader with a pencil would:
weighings in pounds or grams, juice, Brix, solids, shares, jars, carried syrup, fees, and both accounts, to the gram and to the
cent. What stands on the first page is worked out from the sums, and what several members brought to one lot is added up across
their statements. Works with whole numbers and decimals only. A pound is 453.59237 g (NIST Handbook 44, Appendix C).

    python statements_again.py FILE.html ...

Exit 1 when a sum does not come out, or when fewer than sixty statements or too few sums were found.
"""

import re
import sys
from collections import defaultdict
from decimal import ROUND_HALF_UP, Decimal as D, getcontext
from html.parser import HTMLParser

getcontext().prec = 40
LB = D("453.59237")
OZ = LB / 16
GAL_ML = D("3785.411784")
BREAKS = {"p", "br", "h1", "h2", "h3", "td", "th", "dt", "dd", "li", "tr", "section", "article", "div", "span"}


class Reader(HTMLParser):
    """Lines of text by article; a cell of a table begins with the name of its column."""

    def __init__(self):
        super().__init__()
        self.articles = []

    def handle_starttag(self, tag, attrs):
        if tag == "article":
            self.articles.append([""])
        if tag in BREAKS and self.articles:
            is_ = dict(attrs).get("data-is")
            self.articles[-1].append(f"[{is_}] " if is_ else "")

    def handle_endtag(self, tag):
        if tag in BREAKS and self.articles:
            self.articles[-1].append("")

    def handle_data(self, data):
        if self.articles:
            self.articles[-1][-1] += data


def num(text):
    """A number as it is printed: thousands set apart, a minus sign."""
    return D(re.sub(r"[,\u202f\u00a0 $]", "", text).replace("−", "-"))


def near(value, step="1"):
    return value.quantize(D(step), rounding=ROUND_HALF_UP)


N = r"(−?\$?[\d,\u202f.]+)"


class Statement:
    def __init__(self, lines, wrong):
        self.lines = [line.strip() for line in lines if line.strip()]
        self.name = next((line for line in self.lines if line.startswith("Member ")), "?")
        self.wrong = wrong
        self.done = 0
        self.tickets = {}  # number: cane in g, in lb (or None), juice in g, solids
        self.lots = {}  # code: dict
        self.read()

    def same(self, what, worked, printed):
        self.done += 1
        if worked != printed:
            self.wrong.append(f"{self.name}: {what}: {worked} worked, {printed} printed")

    def read(self):
        ticket = lot = None
        for line in self.lines:
            if m := re.match(r"Ticket (\d+), ", line):
                ticket = self.tickets.setdefault(int(m[1]), {"g": D(0), "lb": D(0), "mass": D(0), "solids": D(0)})
            elif m := re.match(r"Lot ([0-9A-Z-]+), .*: ", line):
                lot = self.lots.setdefault(m[1], {"fees": [], "brings": []})
                ticket = None
            elif line == "Syrup carried" and lot:
                break
            elif ticket is not None:
                self.of_ticket(ticket, line)
            elif lot is not None:
                self.of_lot(lot, line)
        for lot in self.lots.values():
            self.fees(lot)
        self.accounts()
        self.first_page()

    def of_ticket(self, t, line):
        if m := re.search(rf"{N} lb gross − {N} lb tare = {N} lb; × 453\.59237 = {N} g", line):
            gross, tare, net, grams = map(num, m.groups())
            self.same("net in pounds", gross - tare, net)
            self.same("net in grams", near(net * LB), grams)
            t["g"] += grams
            t["lb"] = t["lb"] + net if t["lb"] is not None else None
        elif m := re.search(rf"{N} g gross − {N} g tare = {N} g net", line):
            gross, tare, net = map(num, m.groups())
            self.same("net", gross - tare, net)
            t["g"] += net
            t["lb"] = None
        elif m := re.search(rf"^(?:.* = )?{N} g of cane$", line):
            self.same("cane of the ticket", t["g"], num(m[1]))
        elif m := re.search(rf"^weighed {N} g$", line):
            t["mass"] += num(m[1])
        elif m := re.search(rf"Brix read {N} and {N}, mean {N}; {N}(?: ([+−]) {N})? = {N} °Bx", line):
            a, b, mean, again = map(num, m.groups()[:4])
            self.same("mean Brix", (a + b) / 2, mean)
            more = num(m[6]) * (1 if m[5] == "+" else -1) if m[5] else 0
            t["brix"] = near(again + more, "0.01")
            self.same("Brix at 20 °C", t["brix"], num(m[7]))
        elif m := re.search(rf"^{N} g × {N} ÷ 100 = {N} g of solids", line):
            mass, brix, solids = map(num, m.groups())
            self.same("mass and Brix of the solids", (t["mass"], t["brix"]), (mass, brix))
            self.same("solids", near(mass * brix / 100), solids)
            t["solids"] += solids
        elif m := re.search(rf"^{N} g of juice ÷ {N} g of cane: {N} of 100$", line):
            self.same("juice of cane", (t["mass"], t["g"]), (num(m[1]), num(m[2])))

    def of_lot(self, lot, line):
        g = r"([\d,\u202f.−]+) g"
        if m := re.search(rf"^ticket (\d+), .*?: (.*); brings {g}$", line):
            t, weight = self.tickets[int(m[1])], num(m[3])
            if m[2] == "all of it":
                self.same("all of a juice", t["solids"], weight)
                part = t["mass"]
            else:
                p = re.match(rf"{g} of it: {g} × {g} ÷ {g} = {g} of solids", m[2])
                part, solids, again, mass, gives = map(num, p.groups())
                self.same("a part of a juice", (solids, again, mass), (t["solids"], part, t["mass"]))
                exact = solids * part / mass
                # To the gram of the running total: at most one gram from the part by itself.
                self.same("solids of the part, within a gram", abs(exact - gives) < 1, True)
                self.same("brings", gives, weight)
            lot["brings"].append(weight)
            lot.setdefault("cane", []).append((t, part))
        elif m := re.search(rf"^{g} ÷ {g} = ([\d.]+) %, to 0\.01 %$", line):
            own, whole, percent = map(num, m.groups())
            self.same("own part", sum(lot["brings"]), own)
            self.same("percent", near(own * 100 / whole, "0.01"), percent)
            lot["own"], lot["whole"], lot["percent"] = own, whole, m[3]
        elif m := re.search(rf"^{g} × ([\d.]+) % = {g}$", line):
            jarred, toll, part = map(num, m.groups())
            self.same("toll", jarred * toll / 100, part)
            lot["jarred"], lot["toll"] = jarred, part
        elif m := re.search(rf"^{g} − {g} = {g}$", line):
            self.same("for the members", (lot["jarred"], lot["toll"]), (num(m[1]), num(m[2])))
            lot["members"] = lot["jarred"] - lot["toll"]
            self.same("members’ part", lot["members"], num(m[3]))
        elif m := re.search(rf"^{g} × {g} ÷ {g} = {g}; cut to {g}, and (no gram|1 of the grams) left over: {g}$", line):
            members, own, whole, exact, floor, _, entitled = m.groups()
            self.same("what the share rests on", (num(members), num(own), num(whole)), (lot["members"], lot["own"], lot["whole"]))
            worked = lot["members"] * lot["own"] / lot["whole"]
            self.same("share", int(worked * 1000), int(num(exact) * 1000))
            self.same("cut", D(int(worked)), num(floor))
            lot["entitled"] = D(int(worked)) + (1 if m[6] == "1 of the grams" else 0)
            self.same("entitled", lot["entitled"], num(entitled))
        elif m := re.search(rf"^((?:\d+ × .+? of {g}(?: \+ )?)+) = {g}$", line):
            each = re.findall(rf"(\d+) × (.+?) of {g}", m[1])
            lot["jars"] = [(int(n), name.strip(" +"), num(net)) for n, name, net in each]
            lot["given"] = sum(n * net for n, _, net in lot["jars"])
            self.same("jars", lot["given"], num(m[3]))
        elif line == "no jar this time = 0 g":
            lot["jars"], lot["given"] = [], D(0)
        elif m := re.search(rf"carried here \+ share − in jars: {g} \+ {g} − {g} = {g}$", line):
            before, entitled, given, carry = map(num, m.groups())
            self.same("what the carry rests on", (entitled, given), (lot.get("entitled", D(0)), lot["given"]))
            self.same("carry", before + entitled - given, carry)
            lot["before"], lot["carry"] = before, carry
        elif m := re.search(r"^(.*): (\$[\d.,]+)$", line):
            lot["fees"].append((m[1], num(m[2]) * 100))
        elif m := re.search(r"^\$([\d.,]+)$", line):
            self.same("fees together", sum(c for _, c in lot["fees"]), num(m[1]) * 100)

    def fees(self, lot):
        pressing = D(0)
        for says, cents in lot["fees"]:
            if m := re.search(rf"^{N} (lb|kg|gal|L) of (cane|juice) × {N} ¢ per \w+ = {N} ¢, to the nearest cent$", says):
                amount, unit, what, rate, exact = num(m[1]), m[2], m[3], num(m[4]), num(m[5])
                self.same("fee before rounding", amount * rate, exact)
                self.same("fee", near(exact), cents)
                if what == "cane":
                    self.same("cane behind the fee", self.cane_behind(lot, unit), amount)
                pressing += cents
            elif m := re.search(r"^\$([\d.]+) for the boil × (\d+) ÷ (\d+) of what its members brought = (\d+) ¢", says):
                fee, own, whole, printed = num(m[1]) * 100, num(m[2]), num(m[3]), num(m[4])
                self.same("own part of the fee of a boil", (own, whole), (lot["own"], lot["whole"]))
                self.same("fee of a boil, cut, or a cent more", printed - D(int(fee * own / whole)) in (0, 1), True)
                self.same("fee of a boil", printed, cents)
                lot["boil_fee"] = (fee, cents)
                pressing += cents
            elif m := re.search(r"^(\d+) jars? filled × \$([\d.]+)$", says):
                self.same("jars filled", sum(n for n, *_ in lot["jars"]), int(m[1]))
                self.same("filling", num(m[1]) * num(m[2]) * 100, cents)
                pressing += cents
            elif m := re.search(r"least charge of \$([\d.]+)$", says):
                self.same("up to the least charge", num(m[1]) * 100 - pressing, cents)
            elif m := re.search(r"^(\d+) empty jars? \((.*)\) × \$([\d.]+)$", says):
                self.same("glass", num(m[1]) * num(m[3]) * 100, cents)
            else:
                self.wrong.append(f"{self.name}: a fee nobody can do again: {says}")

    def cane_behind(self, lot, unit):
        total = D(0)
        for t, part in lot["cane"]:
            if unit == "lb":
                cane, step = (t["lb"] if t["lb"] is not None else near(t["g"] / LB, "0.0001")), "0.0001"
            else:
                cane, step = t["g"] / 1000, "0.001"
            total += near(cane * part / t["mass"], step)
        return total

    def accounts(self):
        for column in ["Grams", "Owed"]:
            running = D(0)
            rows = [at for at, line in enumerate(self.lines) if line.startswith(f"[{column}] ")]
            for at in rows:
                running += num(self.lines[at].split("] ")[1].removesuffix(" g"))
                self.same(f"running sum of {column}", running, num(self.lines[at + 1].split("] ")[1].removesuffix(" g")))
            setattr(self, column.lower(), running)
        carried = [lot["carry"] for lot in self.lots.values() if "carry" in lot]
        self.same("grams carried by the last lot", carried[-1] if carried else D(0), self.grams)
        fees = sum(cents for lot in self.lots.values() for _, cents in lot["fees"])
        self.same("all fees", fees / 100, self.owed)

    def said(self, grams, metric):
        """A weight as the first page says it."""
        large, small = (D(1000), D(1)) if metric else (LB, OZ)
        value, name = (grams / large, "kg" if metric else "lb") if abs(grams) >= large else (grams / small, "g" if metric else "oz")
        text = f"{near(value, '1' if name == 'g' else '0.1'):,}"
        return f"{text.removesuffix('.0')} {name}"

    def after(self, head):
        return self.lines[self.lines.index(head) + 1]

    def first_page(self):
        self.metric = metric = any(re.search(r"kg$", line) for line in self.lines if line.startswith("[Cane]"))
        money = "nothing is owed either way" if self.owed == 0 else f"${self.owed:,.2f} to pay"
        self.same("to pay", money, self.after("Money"))
        way = "nothing is carried" if self.grams == 0 else (
            f"{self.said(abs(self.grams), metric)} {'still to come' if self.grams > 0 else 'had in advance'}")
        self.same("carried", way, self.after("Syrup carried"))
        jars = defaultdict(int)
        for lot in self.lots.values():
            for count, name, _ in lot["jars"]:
                jars[name] += count
        weight = sum((lot["given"] for lot in self.lots.values()), D(0))
        fetch = self.after("Jars to fetch")
        want = sorted(f"{n} {name}{'s' if n > 1 else ''}" for name, n in jars.items())
        names = sorted(part.strip() for part in fetch.split(" (")[0].split(","))
        self.same("jars to fetch", want or ["no jars"], names)
        if jars:
            self.same("their weight", f"({self.said(weight, metric)})", "(" + fetch.split(" (")[1])
        canes = [line.split("] ")[1] for line in self.lines if line.startswith("[Cane] ")]
        for t, shown in zip(self.tickets.values(), canes):
            unit, name = (D(1000), "kg") if metric else (LB, "lb")
            self.same("cane on the first page", f"{near(t['g'] / unit, '0.1'):,} {name}", shown.replace("\u202f", ","))
        parts = [line.split("] ")[1] for line in self.lines if line.startswith("[Your part] ")]
        percents = [
            f"{lot['percent']} % of the sugar: {self.said(lot['entitled'], metric)}" if "percent" in lot else "no juice of yours"
            for lot in self.lots.values()
        ]
        self.same("parts on the first page", percents, parts)


def across(statements, wrong):
    """Whether what the members brought to a lot, and their parts of its fee, add up across their statements."""
    own, whole, fees = defaultdict(D), {}, defaultdict(list)
    for statement in statements:
        for code, lot in statement.lots.items():
            own[code] += lot.get("own", 0)
            whole[code] = lot.get("whole", 0)
            if "boil_fee" in lot:
                fees[code].append(lot["boil_fee"])
    for code in whole:
        if own[code] != whole[code]:
            wrong.append(f"lot {code}: its members brought {own[code]}, not {whole[code]}")
        if fees[code] and sum(c for _, c in fees[code]) != fees[code][0][0]:
            wrong.append(f"lot {code}: the parts of its fee do not come to it")
    return len(whole)


def main(paths):
    wrong, count, done = [], 0, 0
    for path in paths:
        reader = Reader()
        with open(path, encoding="utf-8") as file:
            reader.feed(file.read())
        statements = [Statement(article, wrong) for article in reader.articles]
        lots = across(statements, wrong)
        sums = sum(s.done for s in statements)
        print(f"{path.rsplit('/', 1)[-1]}: {len(statements)} statements, {lots} lots, {sums} sums done again")
        count, done = count + len(statements), done + sums
    for line in wrong[:40]:
        print(line)
    if count < 60 or done < 60 * 25:
        print(f"only {count} statements and {done} sums")
        return 1
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
