using CsCheck;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using NodaTime;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Bookings;

/// <summary>How many of the wanted copies fit: so many are found room by the search that decides bookings, and one more is not.</summary>
public sealed class WhatFitsTests
{
    private static readonly RoomSearch Search = new(3, 60, 120) { MakeRoomTries = 0 };

    [Fact]
    public void So_many_as_it_says_are_placed_and_one_more_is_not() => Gen.Select(Gen.Int[80, 200], Gen.Int[100, 300], Gen.Int[4, 30], Gen.Int[0, 3]).Sample(
        (diameter, height, quantity, held) =>
        {
            var before = new FiringRoom(Aim, Kiln(null), RoundFurniture, Instant.FromUnixTimeSeconds(0), [], [], [], 7);
            var room = held > 0 && Decide(before, Copies(1, held, 180, 200)).TryGet(out var first, out _)
                ? before with { Held = first.Copies, Shelves = first.Plan.Shelves, Posts = first.Plan.Posts } : before;
            var wanted = Copies(2, quantity, diameter, height);
            if (Decide(room, wanted).Refusal is null) return;
            var fits = Find(room, wanted);
            Assert.Equal(wanted.Count, fits.Taken.Count + fits.Rest.Count);
            Assert.Equal(fits.Taken.Count == 0, fits.Decision is null);
            if (fits.Decision is not null) Assert.Equal(room.Held.Count + fits.Taken.Count, fits.Decision.Copies.Count);
            if (fits.Taken.Count > 0) Assert.Null(Decide(room, fits.Taken).Refusal);
            Assert.NotNull(Decide(room, [.. fits.Taken, fits.Rest[0]]).Refusal);
        },
        iter: 20);

    [Fact]
    public void Where_the_mass_is_what_limits_so_many_as_it_carries_are_taken()
    {
        var room = new FiringRoom(Aim, Kiln(10_000), RoundFurniture, Instant.FromUnixTimeSeconds(0), [], [], [], 0);
        Assert.Equal(7, Find(room, Copies(1, 12, 60, 60, massG: 1_400)).Taken.Count); // 7 × 1.4 kg = 9.8 kg
    }

    [Fact]
    public void The_number_is_found_with_few_searches_whatever_is_tried_first() => Gen.Select(Gen.Int[2, 500], Gen.Int[0, 499], Gen.Int[0, 500]).Sample(
        (count, most, guess) =>
        {
            var holds = most % count;
            var wanted = Copies(1, count, 50, 50);
            var tries = 0;
            var fits = WhatFits.Find(wanted, [.. wanted.Take(Math.Min(guess, count))], false, some =>
            {
                tries++;
                return some.Count <= holds ? Nothing : Refusal.Rule("loading.no-place-found", "full");
            });
            Assert.Equal(holds, fits.Taken.Count);
            Assert.True(tries <= 3 + (2 * (int)Math.Ceiling(Math.Log2(count))), $"{tries} searches for {count} copies");
        });

    [Fact]
    public void Under_a_lock_only_what_goes_in_without_moving_anything_is_tried()
    {
        var wanted = Copies(1, 100, 50, 50);
        var tries = new List<int>();
        var fits = WhatFits.Find(wanted, [.. wanted.Skip(40).Take(30)], true, some =>
        {
            tries.Add(some.Count);
            return Nothing;
        });
        Assert.Equal([30], tries);
        Assert.Equal(wanted.Skip(40).Take(30), fits.Taken);
        Assert.Equal(70, fits.Rest.Count);
    }

    private static readonly FiringAim Aim = new(FiringKind.Glaze, Cone.Parse("6"), ConeSeries.SelfSupporting, Atmosphere.Oxidation);

    private static readonly BookingDecision Nothing = new(new LoadPlan([], [], [], Length.Zero, 0, 0, StopReason.Proven, 0), [], []);

    private static KilnMaking Kiln(decimal? massLimitG) => new("Round top-loader", RoundChamber, UsualSpacing) { MassLimitG = massLimitG };

    private static WhatFits Find(FiringRoom room, IReadOnlyList<HeldCopy> wanted) =>
        WhatFits.Find(wanted, BookingDecision.Inserted(room, wanted, Search, TestContext.Current.CancellationToken), false, some => Decide(room, some));

    private static Result<BookingDecision> Decide(FiringRoom room, IReadOnlyList<HeldCopy> wanted) =>
        BookingDecision.FindRoom(room, wanted, [], Search, false, TestContext.Current.CancellationToken);

    private static IReadOnlyList<HeldCopy> Copies(int booking, int quantity, int diameterMm, int heightMm, decimal? massG = null) =>
        [.. Enumerable.Range(0, quantity).Select(copy => new HeldCopy(
            new Id<Booking>(new Guid(booking, 0, 0, new byte[8])), new Id<Piece>(new Guid(booking, 1, 0, new byte[8])), copy,
            new FrozenCopy("mug", "M", default, Circle(diameterMm), Mm(heightMm), massG, true, null), null))];
}
