#!/usr/bin/env python3
"""Three gateways at one PostgreSQL with a synchronous standby, under load, while they die.

Each second a gateway gets SIGKILL and is started again; then the primary is killed and the standby promoted. Posts go to any
gateway that answers, as a proxy sends them, and are posted again until they are answered 200, as a carrier does. The ledger of
this program, not of theirs, says what was acknowledged. Afterwards: every acknowledged text is stored once; every text has
each of its replies once, each sent under one key, in order; every reminder that was due was made once; the audit is whole.

    kill.py BUILD FOLDER SECONDS
"""
import glob, hashlib, hmac, http.client, json, os, random, re, shutil, signal, subprocess, sys, threading, time

BUILD, FOLDER, SECONDS = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]), int(sys.argv[3])
HERE = os.path.dirname(os.path.abspath(__file__))
PAIR = os.path.join(HERE, "..", "postgres", "pair")
GATEWAYS, POSTERS, PATIENTS, SILENT, EACH = 3, 6, 400, 60, 4
SECRET_IN, SECRET_OUT = b"in-secret-of-the-test", b"out-secret-of-the-test"
PSQL = sorted(glob.glob("/usr/lib/postgresql/*/bin/psql"))[-1]
random.seed(7)

processes, ports, ledger = {}, {}, {}
lock, stop = threading.Lock(), threading.Event()
unanswered = [0]
wrong = []


def check(holds, what):
    if not holds:
        wrong.append(what)
        print("gateways: WRONG:", what, flush=True)


def listening(log, word, process, seconds=30):
    pattern = re.compile(word + r"port=(\d+)")
    for _ in range(seconds * 100):  # a poll of a growing file, bounded
        with open(log) as f:
            found = pattern.search(f.read())
        if found:
            return int(found.group(1))
        if process.poll() is not None:
            return None
        time.sleep(0.01)
    return None


# -- the world ---------------------------------------------------------------------------------------------------------------

def write(path, text, mode=0o600):
    with open(path, "w") as f:
        f.write(text)
    os.chmod(path, mode)


def configuration(folder, conninfo, carrier, reminders):
    hour = time.gmtime().tm_hour
    east = (9 - hour) % 24  # a zone in which it is morning now, whenever this runs
    east = east if east <= 12 else east - 24
    zone = "Etc/GMT%+d" % -east
    write(folder + "/conninfo", conninfo)
    write(folder + "/in.secret", SECRET_IN.decode())
    write(folder + "/out.secret", SECRET_OUT.decode())
    write(folder + "/quietarm.ini", f"""[gateway]
listen = 127.0.0.1:0
desk_listen = 127.0.0.1:0
store = postgres
conninfo_file = conninfo
[clinic maple]
name = Maple Row Practice
text_number = +447700900001
out_of_hours = 111
emergency = 999
time_zone = {zone}
language = en
protocol = esh
quiet = 21:30-05:00
alert_to = +447700900002
[inbound]
auth = hmac-sha256
auth_header = X-Signature
secret_file = in.secret
id = /id
from = /from
to = /to
text = /text
[outbound]
url = http://127.0.0.1:{carrier}/messages
header = Authorization: Bearer {{secret}}
secret_file = out.secret
id = /id
per_second = 2000
""")
    return zone, east


def start(g):
    folder = f"{FOLDER}/g{g}"
    with open(folder + "/log", "a") as everything:
        everything.write("---- start\n")
    log = folder + "/log.now"
    if os.path.exists(log):
        with open(log) as old, open(folder + "/log", "a") as everything:
            everything.write(old.read())
    out = open(log, "w")
    process = subprocess.Popen([BUILD + "/quietarm", "serve"], cwd=folder, stdout=out, stderr=out)
    out.close()
    port = listening(log, "listening ", process)
    with lock:
        processes[g], ports[g] = process, port
    return port


def kill(g):
    with lock:
        process, ports[g] = processes[g], None
    process.send_signal(signal.SIGKILL)
    process.wait()


def command(g, *words, expect=0):
    done = subprocess.run([BUILD + "/quietarm", *words], cwd=f"{FOLDER}/g{g}", capture_output=True, text=True)
    check(done.returncode == expect, f"quietarm {' '.join(words)}: {done.returncode}: {done.stderr.strip()}")
    return done.stdout


def number(i):
    return "+1%03d5550%03d" % (200 + i // 100, 100 + i % 100)  # +1 NXX 555 01xx, of fiction


# -- load --------------------------------------------------------------------------------------------------------------------

def post(port, body):
    mac = hmac.new(SECRET_IN, body, hashlib.sha256).hexdigest()
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=12)
    try:
        connection.request("POST", "/hook/in", body, {"Content-Type": "application/json", "X-Signature": mac})
        return connection.getresponse().status
    except OSError:
        return 0
    except http.client.HTTPException:
        return 0
    finally:
        connection.close()


def deliver(n, give_up=180):
    """Text n: posted to a gateway of chance until one says 200; often to two, as a proxy that lost an answer would."""
    patient = n % PATIENTS
    words = "%d/%d %d" % (112 + n // PATIENTS * 3, 71 + n // PATIENTS, 61 + n // PATIENTS)
    body = json.dumps({"id": f"gateways-{n}", "from": number(patient), "to": "+447700900001", "text": words}).encode()
    end = time.time() + give_up
    while time.time() < end:
        with lock:
            port = random.choice(list(ports.values()))
        status = post(port, body) if port else 0
        if status == 200:
            with lock:
                ledger[n] = ledger.get(n, 0) + 1
            if n % 5 == 0:  # once more, at whichever
                with lock:
                    again = random.choice(list(ports.values()))
                if again:
                    post(again, body)
            return
        unanswered[0] += 1
        time.sleep(0.05)
    check(False, f"text {n} was never answered 200")


def poster(mine, pause):
    for n in mine:
        deliver(n)
        time.sleep(pause)


# -- afterwards --------------------------------------------------------------------------------------------------------------

def sql(statement):
    done = subprocess.run([PSQL, "-qAtX", "-F", "|", "-h", f"{FOLDER}/db/two", "-U", "quietarm", "-d", "postgres", "-c", statement],
                          capture_output=True, text=True)
    check(done.returncode == 0, f"{statement}: {done.stderr}")
    return [line.split("|") for line in done.stdout.splitlines()]


def none(what, statement):
    rows = sql(statement)
    check(not rows, f"{len(rows)} {what}, the first: {rows[:1]}")


def sent_of(carrier):
    connection = http.client.HTTPConnection("127.0.0.1", carrier, timeout=60)
    connection.request("GET", "/sent?since=0")
    return json.loads(connection.getresponse().read())


def verify(carrier, texts):
    hashes = {hashlib.blake2b(b"gateways-%d" % n, digest_size=16).hexdigest(): n for n in range(texts)}
    stored = {}
    for (h,) in sql("SELECT encode(hash, 'hex') FROM texts"):
        stored[h] = stored.get(h, 0) + 1
    for h, n in hashes.items():
        check(stored.get(h, 0) == 1 if n in ledger else stored.get(h, 0) <= 1,
              f"text {n} was acknowledged {ledger.get(n, 0)} times and is stored {stored.get(h, 0)} times")
    check(len(stored) == texts, f"{len(stored)} texts are stored, {texts} were posted")
    none("texts without their one reading", "SELECT t.id FROM texts t LEFT JOIN readings r ON r.text = t.id GROUP BY t.id"
         " HAVING count(r.id) <> 1")
    none("replies made twice", "SELECT text, kind FROM outbox WHERE text IS NOT NULL GROUP BY text, kind, recipient HAVING count(*) > 1")
    none("rows that wait for nothing", "SELECT id, kind, recipient, due, attempts FROM outbox WHERE state = 'waiting'"
         " AND due <= extract(epoch FROM now())")
    none("looks that were missed", "SELECT person FROM courses WHERE next_look < extract(epoch FROM now()) - 60")
    keys = {}
    for said in sent_of(carrier):
        if said["path"] != "/messages" or said["status"] != 200:
            continue
        check(not said.get("changed"), f"key {said['key']} was sent with different words")
        keys[said["key"]] = keys.get(said["key"], 0) + 1
    twice = sum(n - 1 for n in keys.values())
    rows = {key: (recipient, state, int(id_), kind) for key, recipient, state, id_, kind in
            sql("SELECT key, recipient, state, id, kind FROM outbox WHERE channel = 'text'")}
    check(set(keys) <= set(rows), "something was sent that no row accounts for")
    lost = [k for k, r in rows.items() if r[1] in ("sent", "delivered") and k not in keys]
    check(not lost, f"{len(lost)} rows are marked as sent that nobody got")
    last = {}
    for key in keys:  # in the order in which each was first sent
        recipient, _, id_, _ = rows[key]
        check(last.get(recipient, 0) < id_, f"to {recipient[-3:]} row {id_} was sent after {last.get(recipient)}")
        last[recipient] = max(last.get(recipient, 0), id_)
    return len(keys), twice


def reminders(texts_of_silent):
    made = {r: int(n) for r, n in sql("SELECT p.ref, count(o.id) FROM people p LEFT JOIN outbox o ON o.person = p.id"
                                      " AND o.class = 2 AND o.kind LIKE 'remind%' WHERE p.ref LIKE 'S-%' GROUP BY p.ref")}
    check(len(made) == texts_of_silent, f"{len(made)} silent patients")
    for ref, n in made.items():
        check(n == 1, f"{ref} was reminded {n} times, not once")


def main():
    shutil.rmtree(FOLDER, ignore_errors=True)
    os.makedirs(FOLDER)
    conninfo = subprocess.run([PAIR, "start", FOLDER + "/db"], capture_output=True, text=True, check=True).stdout.strip()
    log = open(FOLDER + "/carrier.log", "w")
    carrier_process = subprocess.Popen([BUILD + "/demo/carrier", "--secret", SECRET_OUT.decode()], stdout=log, stderr=log)
    carrier = listening(FOLDER + "/carrier.log", "carrier ", carrier_process)
    try:
        run(conninfo, carrier)
    finally:
        stop.set()
        for process in list(processes.values()) + [carrier_process]:
            process.kill()
            process.wait()
        subprocess.run([PAIR, "stop", FOLDER + "/db"])
    return 1 if wrong else 0


def run(conninfo, carrier):
    began = time.time()
    local = None
    for g in range(GATEWAYS):
        os.makedirs(f"{FOLDER}/g{g}/state", mode=0o700)
        if g:  # one key for all gateways
            shutil.copy(f"{FOLDER}/g0/state/quietarm.key", f"{FOLDER}/g{g}/state/quietarm.key")
        local = configuration(f"{FOLDER}/g{g}", conninfo, carrier, None)
        check(start(g) is not None, f"gateway {g} does not start")
    minute = time.gmtime(time.time() + 20 + local[1] * 3600)  # everybody's reminder comes while gateways die
    if minute.tm_sec > 0:
        minute = time.gmtime(time.time() + 20 + local[1] * 3600 + 60 - minute.tm_sec)
    at = "%02d:%02d" % (minute.tm_hour, minute.tm_min)
    roster = ["ref,phone,joined,remind-morning"]
    roster += [f"P-{i},{number(i)},yes,11:59" for i in range(PATIENTS)]
    roster += [f"S-{i},{number(PATIENTS + i)},yes,{at}" for i in range(SILENT)]
    write(f"{FOLDER}/g0/all.csv", "\r\n".join(roster) + "\r\n")
    command(0, "roster", "--clinic", "maple", "all.csv")

    texts = min(PATIENTS * EACH, 40 * SECONDS)
    pause = max(0.0, POSTERS * (SECONDS + 6) / texts - 0.02)
    posters = [threading.Thread(target=poster, args=(range(i, texts, POSTERS), pause)) for i in range(POSTERS)]
    for t in posters:
        t.start()
    kills = 0
    for _ in range(SECONDS):
        time.sleep(1)
        victim = random.randrange(GATEWAYS)
        kill(victim)
        kills += 1
        check(start(victim) is not None, f"gateway {victim} does not start again")
    subprocess.run([PAIR, "kill", FOLDER + "/db"], check=True)
    lost = time.time()
    subprocess.run([PAIR, "promote", FOLDER + "/db"], check=True)
    for t in posters:
        t.join()
    first = time.time()
    # until the reminders' minute is over and nothing waits: a dead gateway's numbers are free after a minute
    end = max(time.time() + 100, began + 200)
    while time.time() < end:
        waiting = sql("SELECT count(*) FROM outbox WHERE state = 'waiting' AND due <= extract(epoch FROM now())")
        over = sql("SELECT count(*) FROM courses WHERE next_look <= extract(epoch FROM now())")
        late = time.gmtime(time.time() + local[1] * 3600)
        past = (late.tm_hour, late.tm_min) > (minute.tm_hour, minute.tm_min) or (
            (late.tm_hour, late.tm_min) == (minute.tm_hour, minute.tm_min) and late.tm_sec > 5)
        if waiting == [["0"]] and over == [["0"]] and past:
            break
        time.sleep(0.5)
    keys, twice = verify(carrier, texts)
    reminders(SILENT)
    command(1, "backup", "rows.db")
    command(1, "verify", "rows.db")
    print(f"gateways: {texts} texts at {GATEWAYS} gateways, {kills} kills of one and the primary lost: "
          f"{unanswered[0]} posts were not answered 200 and posted again; {keys} texts sent, {twice} of them sent again under "
          f"the same key after a kill; all posted {first - lost:.1f} s after the primary died; "
          f"{'WRONG' if wrong else 'each stored once, each reply once and in order, each reminder once'}", flush=True)


sys.exit(main())
