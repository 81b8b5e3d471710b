using FluentValidation;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Costs.Quotes;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>Ware whose share is asked for, all of one member.</summary>
public sealed record QuoteBody
{
    /// <summary>The ware, as in a booking.</summary>
    public required IReadOnlyList<BookedPieceContract> Pieces { get; init; }
}

/// <summary>The load as it stands, this ware included.</summary>
public sealed record QuotedLoadContract
{
    /// <summary>Members who would share.</summary>
    public required int Members { get; init; }

    /// <summary>Copies.</summary>
    public required int Pieces { get; init; }

    /// <summary>Room of all the ware, cm³; null where totals are withheld.</summary>
    public required decimal? VolumeCm3 { get; init; }

    /// <summary>Room of this member's ware, cm³.</summary>
    public required decimal YourVolumeCm3 { get; init; }
}

/// <summary>An amount as assumed, between its ends, minor units.</summary>
public sealed record MinorRangeContract
{
    /// <summary>If the kiln becomes full and takes the least energy that is likely.</summary>
    public required long LowMinor { get; init; }

    /// <summary>As full as it usually becomes, with the energy assumed.</summary>
    public required long LikelyMinor { get; init; }

    /// <summary>If nobody joins, and it takes the most.</summary>
    public required long HighMinor { get; init; }

    /// <summary>The contract of a range.</summary>
    public static MinorRangeContract Of(MinorRange range) => new() { LowMinor = range.LowMinor, LikelyMinor = range.LikelyMinor, HighMinor = range.HighMinor };
}

/// <summary>What withdrawing would cost from an instant on.</summary>
public sealed record WithdrawalFeeContract
{
    /// <summary>From then on.</summary>
    public required Instant From { get; init; }

    /// <summary>Minor units, for the ware asked about.</summary>
    public required long FeeMinor { get; init; }
}

/// <summary>How full the firing may become, by this kiln's past.</summary>
public sealed record QuotedFillContract
{
    /// <summary>On how many settled firings of the kind it rests; 0: likely is what is booked now.</summary>
    public required int Firings { get; init; }

    /// <summary>The same in words.</summary>
    public required string Sentence { get; init; }

    /// <summary>Room of all the ware as is likely, cm³; null for those to whom the studio does not show everybody's amounts.</summary>
    public required decimal? LikelyCm3 { get; init; }

    /// <summary>Room of all the ware in a full kiln, cm³; null likewise.</summary>
    public required decimal? FullCm3 { get; init; }

    /// <summary>Minor units, if nobody joins and the energy is as assumed.</summary>
    public required long BookedMinor { get; init; }

    /// <summary>Minor units, if the kiln becomes full and the energy is as assumed.</summary>
    public required long FullMinor { get; init; }

    /// <summary>The contract of an outlook.</summary>
    internal static QuotedFillContract Of(FiringQuote quote, FillOutlook outlook, AmountsView view) => new()
    {
        Firings = outlook.Firings,
        Sentence = outlook.Sentence,
        LikelyCm3 = view.Shown == AmountsShown.Everything ? outlook.LikelyCm3 : null,
        FullCm3 = view.Shown == AmountsShown.Everything ? outlook.FullCm3 : null,
        BookedMinor = FiringQuote.ShareOf(quote.Booked.Charged, quote.Member),
        FullMinor = FiringQuote.ShareOf(quote.Full.Charged, quote.Member),
    };
}

/// <summary>What a firing would cost a member, between what is booked now and a full kiln. Nothing is kept; the share falls as others join.</summary>
public sealed record QuoteAnswer
{
    /// <summary>The member.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>ISO 4217 code.</summary>
    public required string Currency { get; init; }

    /// <summary>Minor units, if the kiln becomes full and takes the least energy that is likely.</summary>
    public required long LowMinor { get; init; }

    /// <summary>Minor units, as full as this kiln usually becomes, with the energy assumed. Late withdrawals go by it.</summary>
    public required long LikelyMinor { get; init; }

    /// <summary>Minor units, if nobody joins and it takes the most.</summary>
    public required long HighMinor { get; init; }

    /// <summary>How full the firing may become, by this kiln's past.</summary>
    public required QuotedFillContract Fill { get; init; }

    /// <summary>The parts of the likely figure.</summary>
    public required IReadOnlyList<SharePartContract> Parts { get; init; }

    /// <summary>Why each part is what it is.</summary>
    public required IReadOnlyDictionary<string, string> Reasons { get; init; }

    /// <summary>The share by the meter, where members pay list prices; null where they pay by the meter.</summary>
    public required MinorRangeContract? Metered { get; init; }

    /// <summary>
    /// What the studio would bear beyond list prices in the whole firing, below 0 what it would keep; null without list prices, and where totals are
    /// withheld.
    /// </summary>
    public required MinorRangeContract? Difference { get; init; }

    /// <summary>What of the likely figure falls to the ware asked about, by room; the rest is ware that you booked before.</summary>
    public required long AskedMinor { get; init; }

    /// <summary>What withdrawing this ware would cost, by when it is done; before the first of them nothing.</summary>
    public required IReadOnlyList<WithdrawalFeeContract> Withdrawal { get; init; }

    /// <summary>The energy assumed, kWh; null where totals are withheld.</summary>
    public required decimal? EnergyKwh { get; init; }

    /// <summary>Give or take.</summary>
    public required decimal HalfWidthPercent { get; init; }

    /// <summary>Where the energy comes from; null where totals are withheld.</summary>
    public required string? Assumption { get; init; }

    /// <summary>The load as it stands.</summary>
    public required QuotedLoadContract Load { get; init; }

    /// <summary>What members should know.</summary>
    public required IReadOnlyList<string> Notes { get; init; }

    /// <summary>How much of everybody's amounts this answer shows; the studio's amountsShownTo says to whom all of them.</summary>
    public required AmountsShown Shown { get; init; }

    /// <summary>What is withheld, why, and whom to ask; null where nothing is.</summary>
    public required string? Withheld { get; init; }

    /// <summary>The answer for a quote.</summary>
    internal static QuoteAnswer Of(FiringQuote quote, QuoteGround ground, int pieces, decimal askedCm3, AmountsView view)
    {
        var (basis, byList, asked) = (quote.Basis with { Uses = quote.Booked.Request.Members }, FiringCost.IsByList(quote.Basis), quote.LikelyFor(askedCm3));
        var own = ShareContract.Of(quote.Likely.Charged.Shares.First(s => s.Id == quote.Member)).Parts;
        return new QuoteAnswer
        {
            Shown = view.Shown,
            Withheld = view.Withheld,
            MemberId = Guid.Parse(quote.Member),
            Currency = ground.Costs.Studio.Currency,
            LowMinor = quote.Charged.LowMinor,
            LikelyMinor = quote.Charged.LikelyMinor,
            HighMinor = quote.Charged.HighMinor,
            Fill = QuotedFillContract.Of(quote, ground.Outlook(basis), view),
            Parts = own,
            Reasons = CostSentences.Reasons(basis, quote.Likely).Where(r => view.ShowsTotals || own.Any(p => p.Name == r.Key))
                .ToDictionary(StringComparer.Ordinal),
            Metered = byList ? MinorRangeContract.Of(quote.Metered) : null,
            Difference = byList && view.ShowsTotals ? MinorRangeContract.Of(quote.Difference) : null,
            AskedMinor = asked,
            Withdrawal = [.. WithdrawalSteps(ground.Costs, asked)],
            EnergyKwh = view.ShowsTotals ? quote.Energy.Kwh : null,
            HalfWidthPercent = quote.Energy.HalfWidthPercent,
            Assumption = view.ShowsTotals ? quote.Energy.Sentence : null,
            Load = new QuotedLoadContract
            {
                Members = basis.Uses.Count,
                Pieces = pieces,
                VolumeCm3 = view.ShowsTotals ? basis.Uses.Sum(u => u.VolumeCm3 ?? 0) : null,
                YourVolumeCm3 = basis.Uses.First(u => u.Id == quote.Member).VolumeCm3 ?? 0,
            },
            Notes = view.ShowsTotals ? [.. quote.Likely.Metered.Notes.Select(n => n.Message)] : [],
        };
    }

    private static IEnumerable<WithdrawalFeeContract> WithdrawalSteps(CostGround ground, long askedMinor) => ground.Rules.Withdrawal.Steps
        .OrderByDescending(s => s.HoursBefore).Select(s => Duration.FromHours(s.HoursBefore))
        .Select(before =>
            new WithdrawalFeeContract { From = ground.Firing.StartsAt - before, FeeMinor = ground.Rules.Withdrawal.FeeMinor(askedMinor, before) });
}

internal sealed class QuoteValidator : AbstractValidator<QuoteBody>
{
    private const int MostPieces = 200;

    public QuoteValidator()
    {
        RuleFor(q => q.Pieces).NotEmpty().WithErrorCode("bookings.no-pieces").WithMessage("Takes one piece at the least.");
        RuleFor(q => q.Pieces).AtMost(MostPieces);
        RuleFor(q => q.Pieces).Must(p => p.Select(x => x.PieceId).Distinct().Count() == p.Count)
            .WithErrorCode("bookings.same-piece").WithMessage("A piece stands twice. Name it once, with all its copies.");
    }
}
