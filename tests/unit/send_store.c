/* The sender on the real store: what one connection has committed the other takes, sends, and settles. The writer here is
 * the least one: it sets the row and says done.
 */
#include "tests/unit/send_far.h"
#include "tests/unit/store_fresh.h"

enum { PEOPLE = 5, EACH = 12 };
static const int64_t NOW = 1795503600;

struct flow {
    pthread_mutex_t lock;
    struct db *db;
    int committed, refused;
};
static struct flow writer = {.lock = PTHREAD_MUTEX_INITIALIZER};
static struct sender *sender;
static struct config configured;

/* In the sender's own thread: the commit is done before the call returns. */
void flow_submit(struct flow *f, struct job *job)
{
    struct outgoing row;
    bool found;
    pthread_mutex_lock(&f->lock);
    int error = outbox_get(f->db, job->sent.outgoing, &row, &found);
    row.state = job->sent.result == SENT_OK ? OUTGOING_SENT : OUTGOING_WAITING;
    row.attempts++;
    row.due = job->sent.result == SENT_OK ? row.due : clock_now() + backoff_seconds(row.attempts, 0, (uint64_t)row.id);
    snprintf(row.carrier_id, sizeof row.carrier_id, "%s", job->sent.carrier_id);
    job->result = !error && found && !outbox_set(f->db, &row) ? JOB_STORED : JOB_UNSTORED;
    f->committed += job->result == JOB_STORED && job->sent.result == SENT_OK;
    f->refused += job->sent.result != SENT_OK;
    pthread_mutex_unlock(&f->lock);
    job->done(job);
}

static void queue(void **state, int64_t id, const char *to, enum outgoing_class class_)
{
    struct outgoing row = a_text(id, 7, to, class_, NOW);
    snprintf(row.from, sizeof row.from, "+447700900001");
    snprintf(row.body, sizeof row.body, "%lld", (long long)id);
    pthread_mutex_lock(&writer.lock);
    assert_ok(put_text(((struct fresh *)*state)->db, &row));
    pthread_mutex_unlock(&writer.lock);
}

static void settle(void)
{
    for (int i = 0; i < 30000; i++) { /* a flag of another thread, asked again each millisecond */
        if (!sender_busy(sender, clock_now()))
            return;
        poll(NULL, 0, 1);
    }
    fail_msg("the sender is busy for ever");
}

static int open_all(void **state)
{
    static char body[] = "{\"from\":\"{from}\",\"to\":\"{to}\",\"text\":\"{text}\"}";
    char why[256] = "";
    fresh_setup(state);
    struct fresh *f = *state;
    log_level_set(LOG_ERROR + 1);
    clock_use_stepped(NOW);
    far_open(NULL, NULL);
    writer.db = f->db;
    writer.committed = writer.refused = 0;
    configured = (struct config){.stepped = true};
    snprintf(configured.state, sizeof configured.state, "%s", f->folder);
    snprintf(configured.outbound.url, sizeof configured.outbound.url, "http://127.0.0.1:%d/messages", far_side.port);
    snprintf(configured.outbound.id, POINTER_MAX, "/id");
    configured.outbound.body = body;
    configured.outbound.in_flight = 8;
    assert_int_equal(sender_open(&sender, &configured, &writer, why, sizeof why), 0);
    return 0;
}

static int close_all(void **state)
{
    sender_stop(sender, 1000);
    sender_close(sender);
    far_close();
    return fresh_teardown(state);
}

static void what_is_queued_while_it_runs_all_goes_in_order_through_refusals(void **state)
{
    char to[PHONE_MAX];
    far_says(0, "", 503, 9, 0);
    assert_int_equal(sender_start(sender), 0);
    for (int64_t i = 0; i < PEOPLE * EACH; i++) {
        snprintf(to, sizeof to, "+447700900%03d", (int)(100 + i % PEOPLE));
        queue(state, i + 1, to, CLASS_REPLY);
        sender_wake(sender);
    }
    for (int minutes = 0; minutes < 30; minutes++) {
        settle();
        clock_set(clock_now() + 60);
        sender_wake(sender);
    }
    settle();
    assert_int_equal(writer.committed, PEOPLE * EACH);
    assert_int_equal(writer.refused, 9);
    assert_int_equal(far_side.doubled, 0);
    for (int person = 0; person < PEOPLE; person++) {
        long last = 0;
        snprintf(to, sizeof to, "+447700900%03d", 100 + person);
        for (size_t i = 0; i < far_side.n; i++) {
            if (strcmp(far_side.posts[i].to, to) || far_side.posts[i].status != 200)
                continue;
            long this = strtol(strstr(far_side.posts[i].body, "\"text\":\"") + 8, NULL, 10);
            assert_true(this > last); /* also past a refusal: order is kept through retries */
            last = this;
        }
        assert_true(last > PEOPLE * (EACH - 1));
    }
}

static void a_withdrawn_text_never_leaves(void **state)
{
    struct fresh *f = *state;
    far_says(0, "", 503, 1, 0);
    queue(state, 1, "+447700900100", CLASS_REMINDER);
    assert_int_equal(sender_start(sender), 0);
    settle();
    assert_int_equal(far_side.n, 1);
    struct effect withdraw = {.kind = EFFECT_WITHDRAW, .withdraw = {.person = 7, .classes = 15, .reason = "stopped"}};
    pthread_mutex_lock(&writer.lock);
    assert_ok(write_one_effect(f->db, &withdraw));
    pthread_mutex_unlock(&writer.lock);
    clock_set(clock_now() + 3600);
    sender_wake(sender);
    settle();
    assert_int_equal(far_side.n, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_is_queued_while_it_runs_all_goes_in_order_through_refusals, open_all, close_all),
        cmocka_unit_test_setup_teardown(a_withdrawn_text_never_leaves, open_all, close_all),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
