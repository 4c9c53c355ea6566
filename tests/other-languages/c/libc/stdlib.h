// As much of the C library as the bindings and the step need; there is no other without a system.
#ifndef STDLIB_H
#define STDLIB_H

#include <stddef.h>

void *malloc(size_t size);
void *realloc(void *block, size_t size);
void free(void *block);
_Noreturn void abort(void);

#endif
