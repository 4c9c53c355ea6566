// As much of the C library as the bindings and the step need.
#ifndef STRING_H
#define STRING_H

#include <stddef.h>

void *memcpy(void *to, const void *from, size_t size);
void *memset(void *to, int byte, size_t size);
int memcmp(const void *a, const void *b, size_t size);
size_t strlen(const char *text);

#endif
