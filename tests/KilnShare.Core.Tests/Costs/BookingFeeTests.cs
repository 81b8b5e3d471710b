using CsCheck;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Tests.Costs;

public sealed class BookingFeeTests
{
    private static readonly Instant Start = Instant.FromUtc(2026, 3, 10, 18, 0);

    private static readonly CostRules Rules = CostRules.Usual with
    {
        Withdrawal = new WithdrawalPolicy([new WithdrawalStep(72, 0, 150), new WithdrawalStep(24, 50)]),
        Failed = ChargePolicy.Shared with { CancelledPercent = 25 },
    };

    // A fixed fee from three days on, half of what was quoted on the last: of 1001 that is 500.5, rounded away from zero.
    [Theory]
    [InlineData(73, null)]
    [InlineData(72, 150L)]
    [InlineData(25, 150L)]
    [InlineData(24, 501L)]
    [InlineData(-5, 501L)]
    public void A_confirmed_booking_pays_by_how_late_it_is_withdrawn(int hoursBefore, long? expected) =>
        Assert.Equal(expected, BookingFee.OfWithdrawal(Booked(), Rules, 1001, Start, Start - Duration.FromHours(hoursBefore))?.AmountMinor);

    [Fact]
    public void What_holds_no_place_or_was_taken_back_already_pays_nothing()
    {
        foreach (var state in new[] { BookingState.Waiting, BookingState.Withdrawn })
        {
            Assert.Null(BookingFee.OfWithdrawal(Booked(state), Rules, 1000, Start, Start));
            Assert.Null(BookingFee.OfCancellation(Booked(state), Rules, 1000, Start));
        }
    }

    [Fact]
    public void Without_a_quote_only_what_is_fixed_is_owed()
    {
        Assert.Equal(150, BookingFee.OfWithdrawal(Booked(), Rules, null, Start, Start)!.AmountMinor);
        Assert.Null(BookingFee.OfCancellation(Booked(), Rules, null, Start));
    }

    [Fact]
    public void Of_a_firing_called_off_each_pays_the_stated_part_of_the_quote_and_usually_nothing()
    {
        var fee = BookingFee.OfCancellation(Booked(), Rules, 1000, Start)!;
        Assert.Equal((250, BookingFeeKind.Cancellation), (fee.AmountMinor, fee.Kind));
        Assert.Null(BookingFee.OfCancellation(Booked(), CostRules.Usual, 1000, Start));
    }

    [Fact]
    public void A_fee_is_one_entry_from_the_member_to_the_studio()
    {
        var fee = BookingFee.OfWithdrawal(Booked(), Rules, 1000, Start, Start)!;
        var entry = fee.Entry(CostSplitTests.Euro);
        Assert.Equal((500, Account.OfMember(fee.MemberId.ToString()), Account.StudioShare), (entry.AmountMinor, entry.Debit, entry.Credit));
        Assert.Equal((fee.BookingId.ToString(), "withdrawal", EntryKind.Adjustment), (entry.Subject, entry.Part, entry.Kind));
    }

    [Fact]
    public void A_fee_never_falls_as_time_goes_by() =>
        Gen.Select(Gen.Select(Gen.Int[0, 200], Gen.Int[0, 100], Gen.Long[0, 900], (h, p, f) => new WithdrawalStep(h, p, f)).Array[0, 5], Gen.Long[-50, 9_000],
            Gen.Int[-10, 250], Gen.Int[0, 60])
            .Sample((steps, quoted, hours, later) =>
            {
                var policy = new WithdrawalPolicy(steps);
                return policy.FeeMinor(quoted, Duration.FromHours(hours - later)) >= policy.FeeMinor(quoted, Duration.FromHours(hours))
                    && policy.FeeMinor(quoted, Duration.FromHours(hours)) >= 0;
            });

    [Fact]
    public void The_rules_say_in_words_what_withdrawing_and_calling_off_cost()
    {
        var said = CostSentences.Of(Rules, CostSplitTests.Euro, new Dictionary<string, string>());
        Assert.Contains("Withdrawing 72 hours or less before the firing starts costs 1.50 EUR.", said);
        Assert.Contains("Withdrawing 24 hours or less before the firing starts costs 50 % of what was quoted.", said);
        Assert.Contains("Of a firing called off before it was lit each pays 25 % of what the booking was quoted.", said);
        Assert.Contains("A firing called off before it was lit costs nobody anything.", CostSentences.Of(
            CostRules.Usual, CostSplitTests.Euro, new Dictionary<string, string>()));
    }

    private static Booking Booked(BookingState state = BookingState.Confirmed) => new(
        new Id<Studio>(Guid.Parse("00000000-0000-0000-0000-000000000001")), new Id<Booking>(Guid.Parse("00000000-0000-0000-0000-000000000002")),
        new Id<Firing>(Guid.Parse("00000000-0000-0000-0000-000000000003")), new Id<Member>(Guid.Parse("00000000-0000-0000-0000-000000000004")), Start)
    {
        State = state,
    };
}
