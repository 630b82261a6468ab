/* carrier [--secret S] [--port N] [--smtp-port N]: the simulated carrier on 127.0.0.1, until SIGTERM. Prints its ports. */
#include "demo/carrier/carrier.h"

#include <curl/curl.h>
#include <microhttpd.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

int main(int argc, char **argv)
{
    static struct carrier c;
    const char *secret = "";
    int port = 0, smtp_port = 0, signal_got = 0;
    sigset_t ends;
    for (int i = 1; i + 1 < argc; i += 2) {
        if (!strcmp(argv[i], "--secret"))
            secret = argv[i + 1];
        else if (!strcmp(argv[i], "--port"))
            port = (int)strtol(argv[i + 1], NULL, 10);
        else if (!strcmp(argv[i], "--smtp-port"))
            smtp_port = (int)strtol(argv[i + 1], NULL, 10);
    }
    sigemptyset(&ends);
    sigaddset(&ends, SIGTERM);
    sigaddset(&ends, SIGINT);
    pthread_sigmask(SIG_BLOCK, &ends, NULL); /* in every thread: only sigwait takes them */
    signal(SIGPIPE, SIG_IGN);
    if (sodium_init() < 0 || curl_global_init(CURL_GLOBAL_DEFAULT))
        return 1;
    carrier_open(&c, secret);
    struct MHD_Daemon *web = web_start(&c, &port);
    if (!web || smtp_start(&c, &smtp_port)) {
        fprintf(stderr, "carrier: cannot listen on 127.0.0.1\n");
        return 1;
    }
    printf("carrier port=%d\nsmtp port=%d\n", port, smtp_port);
    fflush(stdout);
    sigwait(&ends, &signal_got);
    pthread_mutex_lock(&c.lock);
    c.closing = true;
    pthread_cond_broadcast(&c.changed);
    pthread_mutex_unlock(&c.lock);
    MHD_stop_daemon(web);
    fflush(stdout);
    _exit(0); /* connections of the mail sink may still wait for their client */
}
