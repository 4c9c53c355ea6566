// An object step in C: every stitch of a run is sewn forwards, back and forwards again.
//
// The contract is sdk/wit/hoopwright.wit; `object_plugin.h` is made of it by wit-bindgen (see build.sh).
// What a step is given belongs to it: lists may be handed on as they are. Nothing is ever freed, for the
// host gives every call a memory of its own (see memory.c).

#include "object_plugin.h"
#include "settings.h"
#include <stdlib.h>

typedef exports_hoopwright_step_object_step_object_t object_t;
typedef exports_hoopwright_step_object_step_thread_t thread_t;
typedef exports_hoopwright_step_object_step_failure_t failure_t;
typedef exports_hoopwright_step_object_step_description_t description_t;
typedef hoopwright_step_model_stitch_block_t block_t;

static const char SCHEMA[] =
    "{\"$schema\": \"https://json-schema.org/draft/2020-12/schema\","
    " \"title\": \"BeanStitch\","
    " \"description\": \"Sews each stitch of a run forwards, back and forwards again.\","
    " \"type\": \"object\", \"additionalProperties\": false, \"properties\": {"
    "  \"passes\": {\"description\": \"How often each stitch is sewn: 3, 5 or 7 times. Default 3.\","
    "   \"type\": \"integer\", \"enum\": [3, 5, 7], \"default\": 3},"
    "  \"shortest\": {\"description\": \"Stitches shorter than this are sewn once, for more needle points on one "
    "spot cut the cloth; in mm. Default 1.\","
    "   \"type\": \"number\", \"minimum\": 0.3, \"maximum\": 12, \"default\": 1, \"unit\": \"mm\"}}}";

static const char MANUAL[] =
    "Sews each stitch of a run forwards, back and forwards again, so that a thin line stands out.\n\n"
    "**When to use it.** After `line-run` with a single pass, with stitches of 2 to 3 mm (common practice).\n\n"
    "**What comes next.** `ties-and-trims`.\n";

void exports_hoopwright_step_object_step_describe(description_t *ret) {
    object_plugin_string_dup(&ret->name, "bean-stitch");
    object_plugin_string_dup(&ret->version, "0.1.0");
    object_plugin_string_dup(&ret->summary, "Sews each stitch of a run forwards, back and forwards again.");
    object_plugin_string_dup(&ret->manual, MANUAL);
    object_plugin_string_dup(&ret->settings_schema, SCHEMA);
}

// Whether a block is seen, and so is to be sewn again.
static bool is_cover(const block_t *block) {
    return block->kind == HOOPWRIGHT_STEP_MODEL_STITCH_KIND_NEEDLE
        && block->role == HOOPWRIGHT_STEP_MODEL_STITCH_ROLE_COVER;
}

// The block's needle points with every stitch of at least `shortest` mm sewn `passes` times.
static void sew_again(block_t *block, size_t passes, double shortest) {
    size_t count = block->x.len;
    const double *x = block->x.ptr;
    const double *y = block->y.ptr;
    if (count < 2) {
        return;
    }
    double *more_x = malloc(count * passes * sizeof(double));
    double *more_y = malloc(count * passes * sizeof(double));
    size_t laid = 0;
    more_x[laid] = x[0];
    more_y[laid] = y[0];
    laid += 1;
    for (size_t i = 1; i < count; i += 1) {
        double across = x[i] - x[i - 1];
        double down = y[i] - y[i - 1];
        bool is_long = across * across + down * down >= shortest * shortest;
        size_t times = is_long ? passes : 1;
        // Forwards, back, forwards: the odd ones end at the new place.
        for (size_t pass = 0; pass < times; pass += 1) {
            size_t at = pass % 2 == 0 ? i : i - 1;
            more_x[laid] = x[at];
            more_y[laid] = y[at];
            laid += 1;
        }
    }
    block->x.ptr = more_x;
    block->y.ptr = more_y;
    block->x.len = laid;
    block->y.len = laid;
}

static void report_nothing_sewn(const object_t *object) {
    hoopwright_step_host_finding_t finding = {0};
    finding.severity = HOOPWRIGHT_STEP_MESSAGES_SEVERITY_NOTE;
    object_plugin_string_set(&finding.message, "It has no run yet, so nothing was sewn again.");
    finding.object.is_some = true;
    finding.object.val = object->id;
    finding.help.is_some = true;
    object_plugin_string_set(&finding.help.val, "Run this step after line-run.");
    hoopwright_step_host_report(&finding);
}

bool exports_hoopwright_step_object_step_process(
    object_t *object, thread_t *thread, object_plugin_string_t *settings, object_t *ret, failure_t *err) {
    (void)thread;
    (void)err;
    double passes = setting(settings, "passes", 3.0);
    double shortest = setting(settings, "shortest", 1.0);
    bool sewn = false;
    for (size_t i = 0; i < object->stitches.len; i += 1) {
        block_t *block = &object->stitches.ptr[i];
        if (is_cover(block)) {
            sewn = true;
            sew_again(block, (size_t)passes, shortest);
        }
    }
    if (!sewn) {
        report_nothing_sewn(object);
    }
    *ret = *object;
    return true;
}
