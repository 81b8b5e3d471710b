using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Costs;

/// <summary>Money, or a stroke of the pen, outside of firings.</summary>
public enum PaymentKind
{
    /// <summary>A member pays.</summary>
    Payment,

    /// <summary>The studio pays a member out.</summary>
    Refund,

    /// <summary>A member pays ahead.</summary>
    Deposit,

    /// <summary>The studio lets a member have something: goodwill, help at unloading.</summary>
    Credit,

    /// <summary>A member is charged for something: clay, a tool.</summary>
    Charge,

    /// <summary>The studio gives up what a member owes.</summary>
    WriteOff,
}

/// <summary>A payment, or a charge or credit outside of firings. The ledger row beside it bears no text; the reason stands here.</summary>
public sealed class Payment(
    Id<Studio> studioId, Id<Payment> id, Id<Member> memberId, PaymentKind kind, long amountMinor, string? reason, Id<Member> madeBy, Instant at)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The identity.</summary>
    public Id<Payment> Id { get; private set; } = id;

    /// <summary>Whose account it touches.</summary>
    public Id<Member> MemberId { get; private set; } = memberId;

    /// <summary>What it is.</summary>
    public PaymentKind Kind { get; private set; } = kind;

    /// <summary>Minor units, above 0.</summary>
    public long AmountMinor { get; private set; } = amountMinor;

    /// <summary>What for, in words; null where nothing was said, or the words were taken back.</summary>
    public string? Reason { get; private set; } = reason;

    /// <summary>Who wrote it down.</summary>
    public Id<Member> MadeBy { get; private set; } = madeBy;

    /// <summary>When.</summary>
    public Instant At { get; private set; } = at;

    /// <summary>Its line in the ledger.</summary>
    public LedgerEntry Entry(Currency currency)
    {
        var member = Account.OfMember(MemberId.ToString());
        var other = Kind is PaymentKind.Payment or PaymentKind.Deposit or PaymentKind.Refund ? Account.Cash : Account.StudioShare;
        var owesMore = Kind is PaymentKind.Refund or PaymentKind.Charge;
        return new LedgerEntry(
            At, other == Account.Cash ? EntryKind.Payment : EntryKind.Adjustment, owesMore ? member : other, owesMore ? other : member,
            AmountMinor, currency, Id.ToString(), Word(Kind));
    }

    /// <summary>Refuses to pay out what is not the member's, or to give up what is not owed.</summary>
    /// <param name="balanceMinor">What the member owes; below 0 what the studio owes the member.</param>
    public Refusal? Check(Int128 balanceMinor) => Kind switch
    {
        PaymentKind.Refund when AmountMinor > -balanceMinor => Refusal.Rule(
            "costs.refund-above-credit",
            $"The studio owes this member {Int128.Max(0, -balanceMinor)} minor units, less than {AmountMinor}. Write a credit first if more is due.",
                "/amountMinor"),
        PaymentKind.WriteOff when AmountMinor > balanceMinor => Refusal.Rule(
            "costs.write-off-above-debt",
            $"This member owes {Int128.Max(0, balanceMinor)} minor units, less than {AmountMinor}. Write off that much at the most, or write a credit.",
                "/amountMinor"),
        _ => null,
    };

    private static string Word(PaymentKind kind) => char.ToLowerInvariant(kind.ToString()[0]) + kind.ToString()[1..];
}
