/* The error type keeps the first code, every item that finds room, and the count of the others. */
#include "calc/fault.h"
#include "runner.h"

#include <stdlib.h>

START_TEST(first_code_stays)
{
    struct fault fault = {0};

    ck_assert_int_eq(fault_add(&fault, FAULT_INPUT, "/a", "must be %d", 1), -1);
    fault_add(&fault, FAULT_STORE, "/b", "x");
    ck_assert_int_eq(fault.code, FAULT_INPUT);
    ck_assert_uint_eq(fault.count, 2);
    ck_assert_str_eq(fault.item[0].detail, "must be 1");
}
END_TEST

START_TEST(items_beyond_the_room_are_counted)
{
    struct fault fault = {0};

    for (int i = 0; i < FAULT_ITEMS + 3; i++)
        fault_add(&fault, FAULT_INPUT, "", "item %d", i);
    ck_assert_uint_eq(fault.count, FAULT_ITEMS);
    ck_assert_uint_eq(fault.more, 3);
}
END_TEST

START_TEST(nested_pointers_are_joined)
{
    struct fault inner = {0}, outer = {0};

    fault_add(&inner, FAULT_INPUT, "/height_mm", "too low");
    ck_assert_int_eq(fault_under(&outer, "/vessel", &inner), -1);
    ck_assert_str_eq(outer.item[0].at, "/vessel/height_mm");
    ck_assert_int_eq(outer.code, FAULT_INPUT);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("fault");
    TCase *tcase = tcase_create("fault");

    tcase_add_test(tcase, first_code_stays);
    tcase_add_test(tcase, items_beyond_the_room_are_counted);
    tcase_add_test(tcase, nested_pointers_are_joined);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
