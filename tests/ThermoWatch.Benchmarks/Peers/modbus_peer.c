/* Peers of the Modbus benchmarks.
   modbus_peer server tcp PORT | server rtu DEVICE BAUD     slave made with libmodbus, default configuration
   modbus_peer client tcp PORT REGS SECONDS | client rtu DEVICE REGS SECONDS BAUD   master made with libmodbus
   modbus_peer farm PORT                                    many connections at once, made with poll(2)
   modbus_peer wire DEVICE BAUD                             slave that spends the time a real 8E1 line would
   Holding register i = 7 i + 1. A client prints: polls/s, CPU us/poll, median us/poll. */
#define _GNU_SOURCE
#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <modbus.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

static double now(void) { struct timespec t; clock_gettime(CLOCK_MONOTONIC, &t); return t.tv_sec + t.tv_nsec * 1e-9; }

static double cpu(void) {
    struct rusage r; getrusage(RUSAGE_SELF, &r);
    return r.ru_utime.tv_sec + r.ru_stime.tv_sec + (r.ru_utime.tv_usec + r.ru_stime.tv_usec) * 1e-6;
}

static int by_value(const void *a, const void *b) { float x = *(const float *)a, y = *(const float *)b; return (x > y) - (x < y); }

static void ready(void) { puts("ready"); fflush(stdout); }

static int server(char **argv) {
    modbus_mapping_t *map = modbus_mapping_new(0, 0, 1000, 0);
    for (int i = 0; i < 1000; i++) map->tab_registers[i] = (uint16_t)(7 * i + 1);
    uint8_t query[MODBUS_TCP_MAX_ADU_LENGTH];
    int tcp = !strcmp(argv[2], "tcp"), listener = -1;
    modbus_t *ctx = tcp ? modbus_new_tcp("127.0.0.1", atoi(argv[3])) : modbus_new_rtu(argv[3], atoi(argv[4]), 'E', 8, 1);
    if (tcp) listener = modbus_tcp_listen(ctx, 8);
    else { modbus_set_slave(ctx, 1); if (modbus_connect(ctx) < 0) return 1; }
    if (tcp && listener < 0) return 1;
    ready();
    for (;;) {
        if (tcp && modbus_tcp_accept(ctx, &listener) < 0) return 1;
        for (;;) {
            int length = modbus_receive(ctx, query);
            if (length > 0) modbus_reply(ctx, query, length, map);
            else if (length == -1 && errno != ETIMEDOUT && errno != EMBBADCRC) break;
        }
        if (!tcp) return 0;
        modbus_close(ctx);
    }
}

static int client(char **argv) {
    int regs = atoi(argv[4]); double seconds = atof(argv[5]);
    modbus_t *ctx = !strcmp(argv[2], "tcp") ? modbus_new_tcp("127.0.0.1", atoi(argv[3])) : modbus_new_rtu(argv[3], atoi(argv[6]), 'E', 8, 1);
    modbus_set_slave(ctx, 1);
    if (modbus_connect(ctx) < 0) return 1;
    uint16_t data[128]; long capacity = 4000000, n = 0; float *took = malloc(capacity * sizeof *took);
    for (double end = now() + 0.2; now() < end;) if (modbus_read_registers(ctx, 0, regs, data) != regs) return 1;
    double cpu0 = cpu(), start = now(), t = start;
    while (t < start + seconds && n < capacity) {
        if (modbus_read_registers(ctx, 0, regs, data) != regs || data[1] != 8) return 1;
        double u = now(); took[n++] = (float)(u - t); t = u;
    }
    double used = cpu() - cpu0;
    qsort(took, n, sizeof *took, by_value);
    printf("%.1f %.3f %.3f\n", n / (t - start), used / n * 1e6, took[n / 2] * 1e6);
    return 0;
}

static int farm(char **argv) {
    int listener = socket(AF_INET, SOCK_STREAM, 0), one = 1, count = 1;
    setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &one, sizeof one);
    struct sockaddr_in a = {.sin_family = AF_INET, .sin_port = htons(atoi(argv[2])), .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    if (bind(listener, (void *)&a, sizeof a) || listen(listener, 128)) return 1;
    static struct pollfd fds[257];
    fds[0] = (struct pollfd){listener, POLLIN, 0};
    ready();
    for (;;) {
        poll(fds, count, -1);
        if (fds[0].revents && count < 257) {
            int c = accept(listener, 0, 0);
            setsockopt(c, IPPROTO_TCP, TCP_NODELAY, &one, sizeof one);
            fds[count++] = (struct pollfd){c, POLLIN, 0};
            continue;
        }
        for (int i = 1; i < count; i++) {
            if (!fds[i].revents) continue;
            uint8_t q[12], r[300];
            if (recv(fds[i].fd, q, 12, MSG_WAITALL) != 12) { close(fds[i].fd); fds[i--] = fds[--count]; continue; }
            int regs = q[10] << 8 | q[11], length = 3 + 2 * regs;
            memcpy(r, q, 8); r[4] = length >> 8; r[5] = length; r[8] = 2 * regs;
            for (int k = 0; k < regs; k++) { int v = 7 * k + 1; r[9 + 2 * k] = v >> 8; r[10 + 2 * k] = v; }
            if (send(fds[i].fd, r, 6 + length, 0) < 0) return 1;
        }
    }
}

static uint16_t crc(const uint8_t *b, int n) {
    uint16_t c = 0xffff;
    for (int i = 0; i < n; i++) { c ^= b[i]; for (int k = 0; k < 8; k++) c = c & 1 ? c >> 1 ^ 0xa001 : c >> 1; }
    return c;
}

static int wire(char **argv) {
    int fd = open(argv[2], O_RDWR | O_NOCTTY), have = 0;
    double baud = atof(argv[3]), character = 11 / baud, gap = baud <= 19200 ? 3.5 * character : 1.75e-3;
    struct termios t; tcgetattr(fd, &t); cfmakeraw(&t); tcsetattr(fd, TCSANOW, &t);
    uint8_t q[64], r[300];
    ready();
    for (;;) {
        int k = read(fd, q + have, sizeof q - have);
        if (k <= 0) return 0;
        double begin = now(); have += k;
        if (have < 8) continue;
        int regs = q[5], n = 5 + 2 * regs; r[0] = q[0]; r[1] = q[1]; r[2] = 2 * regs; have = 0;
        for (int i = 0; i < regs; i++) { int v = 7 * i + 1; r[3 + 2 * i] = v >> 8; r[4 + 2 * i] = v; }
        uint16_t c = crc(r, n - 2); r[n - 2] = c; r[n - 1] = c >> 8;
        double due = begin + 8 * character + gap + n * character, left = due - now() - 120e-6;
        if (left > 0) { struct timespec s = {(time_t)left, (long)((left - (time_t)left) * 1e9)}; nanosleep(&s, 0); }
        while (now() < due) ;
        if (write(fd, r, n) != n) return 1;
    }
}

int main(int argc, char **argv) {
    signal(SIGPIPE, SIG_IGN);
    if (argc >= 4 && !strcmp(argv[1], "server")) return server(argv);
    if (argc >= 6 && !strcmp(argv[1], "client")) return client(argv);
    if (argc >= 3 && !strcmp(argv[1], "farm")) return farm(argv);
    if (argc >= 4 && !strcmp(argv[1], "wire")) return wire(argv);
    return 2;
}
