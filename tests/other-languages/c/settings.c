#include "settings.h"
#include <string.h>

// The text behind a key of a flat object. The schema allows no strings and no nesting, so what stands in
// quotes is a key. A step with richer settings takes a JSON library instead.
static const char *value_of(const char *text, const char *end, const char *name) {
    size_t length = strlen(name);
    for (const char *at = text; at + length + 2 < end; at += 1) {
        if (*at == '"' && memcmp(at + 1, name, length) == 0 && at[length + 1] == '"') {
            at += length + 2;
            while (at < end && (*at == ' ' || *at == ':' || *at == '\n' || *at == '\t' || *at == '\r')) {
                at += 1;
            }
            return at;
        }
    }
    return end;
}

// A JSON number. Up to 15 digits come out as the nearest double, for the digits and the power of ten are
// exact then, and a division rounds once.
double setting(const object_plugin_string_t *settings, const char *name, double otherwise) {
    const char *end = (const char *)settings->ptr + settings->len;
    const char *at = value_of((const char *)settings->ptr, end, name);
    if (at == end) {
        return otherwise;
    }
    bool negative = *at == '-';
    at += negative;
    double digits = 0.0;
    double power = 1.0;
    bool fraction = false;
    for (; at < end && ((*at >= '0' && *at <= '9') || *at == '.'); at += 1) {
        if (*at == '.') {
            fraction = true;
        } else {
            digits = digits * 10.0 + (*at - '0');
            power = fraction ? power * 10.0 : power;
        }
    }
    int exponent = 0;
    if (at < end && (*at == 'e' || *at == 'E')) {
        at += 1;
        bool small = at < end && *at == '-';
        at += at < end && (*at == '-' || *at == '+');
        for (; at < end && *at >= '0' && *at <= '9' && exponent < 400; at += 1) {
            exponent = exponent * 10 + (*at - '0');
        }
        for (; exponent > 0; exponent -= 1) {
            digits = small ? digits : digits * 10.0;
            power = small ? power * 10.0 : power;
        }
    }
    double value = digits / power;
    return negative ? -value : value;
}
