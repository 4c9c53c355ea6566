// Memory for one call. The host makes a fresh one for every call and throws it away afterwards, so what is
// given out is never taken back.

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

// Where the linker's own data ends.
extern unsigned char __heap_base;

enum { PAGE = 65536, ALIGN = 16 };

static uintptr_t next_free;

// Each block has its size before it, for realloc.
void *malloc(size_t size) {
    if (next_free == 0) {
        next_free = ((uintptr_t)&__heap_base + ALIGN - 1) / ALIGN * ALIGN;
    }
    uintptr_t block = next_free + ALIGN;
    // 32 bits hold less than twice the memory there can be, so the sum is checked before it wraps.
    if (size > UINT32_MAX - block - ALIGN - PAGE) {
        abort();
    }
    uintptr_t after = (block + size + ALIGN - 1) / ALIGN * ALIGN;
    size_t pages = __builtin_wasm_memory_size(0);
    size_t needed = (after + PAGE - 1) / PAGE;
    if (needed > pages && __builtin_wasm_memory_grow(0, needed - pages) == (size_t)-1) {
        abort();
    }
    *(size_t *)(block - ALIGN) = size;
    next_free = after;
    return (void *)block;
}

void *realloc(void *block, size_t size) {
    if (block == 0) {
        return malloc(size);
    }
    size_t old = *(size_t *)((uintptr_t)block - ALIGN);
    if (size <= old) {
        return block;
    }
    return memcpy(malloc(size), block, old);
}

void free(void *block) {
    (void)block;
}

_Noreturn void abort(void) {
    __builtin_trap();
}

void *memcpy(void *to, const void *from, size_t size) {
    for (size_t i = 0; i < size; i += 1) {
        ((unsigned char *)to)[i] = ((const unsigned char *)from)[i];
    }
    return to;
}

void *memset(void *to, int byte, size_t size) {
    for (size_t i = 0; i < size; i += 1) {
        ((unsigned char *)to)[i] = (unsigned char)byte;
    }
    return to;
}

int memcmp(const void *a, const void *b, size_t size) {
    const unsigned char *one = a;
    const unsigned char *other = b;
    for (size_t i = 0; i < size; i += 1) {
        if (one[i] != other[i]) {
            return one[i] < other[i] ? -1 : 1;
        }
    }
    return 0;
}

size_t strlen(const char *text) {
    size_t length = 0;
    while (text[length] != 0) {
        length += 1;
    }
    return length;
}
