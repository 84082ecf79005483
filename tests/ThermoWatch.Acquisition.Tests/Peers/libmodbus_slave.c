/* A slave made with libmodbus. usage: libmodbus_slave tcp PORT | libmodbus_slave rtu DEVICE BAUD
   Holding register i = 7 i + 1; input register i = 65535 - i; coil and discrete input i on where i is a multiple of 3.
   1000 of each, unit 1; other addresses are refused by libmodbus itself. */
#include <errno.h>
#include <modbus.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static int serve(modbus_t *ctx, modbus_mapping_t *map) {
    uint8_t query[MODBUS_TCP_MAX_ADU_LENGTH];
    for (;;) {
        int length = modbus_receive(ctx, query);
        if (length > 0) modbus_reply(ctx, query, length, map);
        else if (length == -1 && errno != ETIMEDOUT && errno != EMBBADCRC) return 0;
    }
}

int main(int argc, char **argv) {
    if (argc < 3) return 2;
    signal(SIGPIPE, SIG_IGN);
    modbus_mapping_t *map = modbus_mapping_new(1000, 1000, 1000, 1000);
    for (int i = 0; i < 1000; i++) {
        map->tab_registers[i] = (uint16_t)(7 * i + 1);
        map->tab_input_registers[i] = (uint16_t)(65535 - i);
        map->tab_bits[i] = map->tab_input_bits[i] = i % 3 == 0;
    }

    if (!strcmp(argv[1], "tcp")) {
        modbus_t *ctx = modbus_new_tcp("127.0.0.1", atoi(argv[2]));
        int listener = modbus_tcp_listen(ctx, 8);
        if (listener < 0) { perror("listen"); return 1; }
        puts("ready"); fflush(stdout);
        for (;;) {
            if (modbus_tcp_accept(ctx, &listener) < 0) return 1;
            serve(ctx, map);
            modbus_close(ctx);
        }
    }

    modbus_t *ctx = modbus_new_rtu(argv[2], atoi(argv[3]), 'E', 8, 1);
    modbus_set_slave(ctx, 1);
    if (modbus_connect(ctx) < 0) { perror("connect"); return 1; }
    puts("ready"); fflush(stdout);
    return serve(ctx, map);
}
