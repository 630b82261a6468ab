/* Load for the bench of several gateways: connections that post signed texts, each of another patient, for some seconds.
 *
 *     load SECONDS CONNECTIONS PATIENTS PORT...
 *
 * Prints how many were answered 200 a second, and the 50th and 99th of a hundred in milliseconds.
 */
#include <curl/curl.h>
#include <pthread.h>
#include <sodium.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { CONNECTIONS_MOST = 256, PORTS_MOST = 16, TIMES_MOST = 1 << 20 };

static const char secret[] = "in-secret-of-the-test";
static int ports[PORTS_MOST], n_ports, patients;
static double ends;
static atomic_int next, done, failed;
static float times[TIMES_MOST];

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static size_t swallow(char *bytes, size_t size, size_t n, void *context)
{
    (void)bytes, (void)context;
    return size * n;
}

static void sign(const char *body, char header[128])
{
    unsigned char mac[crypto_auth_hmacsha256_BYTES];
    char hex[2 * sizeof mac + 1];
    crypto_auth_hmacsha256_state state;
    crypto_auth_hmacsha256_init(&state, (const unsigned char *)secret, strlen(secret));
    crypto_auth_hmacsha256_update(&state, (const unsigned char *)body, strlen(body));
    crypto_auth_hmacsha256_final(&state, mac);
    sodium_bin2hex(hex, sizeof hex, mac, sizeof mac);
    snprintf(header, 128, "X-Signature: %s", hex);
}

static void post(CURL *curl, const char *url, int n)
{
    char body[256], header[128];
    long status = 0;
    int patient = n % patients;
    snprintf(body, sizeof body,
             "{\"id\":\"load-%d-%d\",\"from\":\"+1%03d5550%03d\",\"to\":\"+447700900001\",\"text\":\"%d/%d %d\"}", (int)getpid(), n,
             200 + patient / 100, 100 + patient % 100, 115 + n % 31, 70 + n % 17, 60 + n % 23);
    sign(body, header);
    struct curl_slist *headers = curl_slist_append(curl_slist_append(NULL, "Content-Type: application/json"), header);
    curl_easy_setopt(curl, CURLOPT_URL, url);
    curl_easy_setopt(curl, CURLOPT_HTTPHEADER, headers);
    curl_easy_setopt(curl, CURLOPT_POSTFIELDS, body);
    curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, swallow);
    double began = now();
    if (curl_easy_perform(curl) == CURLE_OK)
        curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
    if (status == 200) {
        int i = done++;
        times[i % TIMES_MOST] = (float)((now() - began) * 1000);
    } else {
        failed++;
    }
    curl_slist_free_all(headers);
}

static void *connection(void *context)
{
    char url[64];
    CURL *curl = curl_easy_init();
    snprintf(url, sizeof url, "http://127.0.0.1:%d/hook/in", ports[(int)(intptr_t)context % n_ports]);
    while (now() < ends)
        post(curl, url, next++);
    curl_easy_cleanup(curl);
    return NULL;
}

static int by_time(const void *a, const void *b)
{
    float x = *(const float *)a, y = *(const float *)b;
    return (x > y) - (x < y);
}

int main(int argc, char **argv)
{
    pthread_t threads[CONNECTIONS_MOST];
    if (argc < 5 || argc - 4 > PORTS_MOST)
        return 2;
    double seconds = strtod(argv[1], NULL);
    int n = (int)strtol(argv[2], NULL, 10);
    patients = (int)strtol(argv[3], NULL, 10);
    for (int i = 4; i < argc; i++)
        ports[n_ports++] = (int)strtol(argv[i], NULL, 10);
    curl_global_init(CURL_GLOBAL_ALL);
    ends = now() + seconds;
    for (int i = 0; i < n && i < CONNECTIONS_MOST; i++)
        pthread_create(&threads[i], NULL, connection, (void *)(intptr_t)i);
    for (int i = 0; i < n && i < CONNECTIONS_MOST; i++)
        pthread_join(threads[i], NULL);
    int some = done < TIMES_MOST ? done : TIMES_MOST;
    qsort(times, (size_t)some, sizeof *times, by_time);
    printf("%.0f a second, p50 %.1f ms, p99 %.1f ms, %d not answered 200\n", done / seconds, (double)times[some / 2],
           (double)times[some * 99 / 100], failed);
    return done ? 0 : 1;
}
